package parse

import "strings"

// meaning is what a word does in a line, beside what it may spell.
type meaning uint32

// The meanings. A word may have several.
const (
	small    meaning = 1 << iota // an everyday or radio word that carries nothing
	part                         // parts one item from the next: "grid", "from"
	next                         // begins another contact
	name                         // a first name
	namer                        // announces a name
	heard                        // the station was only heard
	denies                       // there was no contact
	doubts                       // the writer is not sure, or it is still to come
	corrects                     // what follows replaces what stands before
	modeword                     // a mode that linear birds carry
	needless                     // after "no" or "missed" it denies only itself
	stroke                       // "/"
	mark                         // a mark after a stroke
	lead                         // may stand right before a spelled call
	link                         // may stand right beside a spelled call or grid
	counted                      // a number after it is no symbol
	unit                         // a number before it is no symbol
	month                        // of a date
	refuses                      // denies the contact beside it, and nothing on a line without one
	lets                         // has the form of a word that doubts and is none; lacking it does no harm
	vague                        // with a contact, it is not clear that there was one
	well                         // says that all went well
)

// wordLists are the words of each meaning. Common practice; no source.
var wordLists = [...]struct {
	meaning meaning
	words   string
}{
	{small, `
a about after again agn all almost along alright also always am an and ant antenna any arm around as asap at audio away awesome
back backyard bad band base battery be beam bear because been before behind best better big bird bit bk both bottom break brb brief brilliant bro btw buddy bunch busy but by bye
came can cant car carrier cause channel check clean clear close cloud clouds cloudy club coax cold come comes coming confirmed congrats cool copied copies copy could couple cq crew cu cul cute
dad damn day db de dead deaf deep did dipole dish distance does doing done doppler down downlink dx
ear early ears east easy either elevation el az end ended enough es even every everyone excellent exchange
fade fading fantastic far fast fb feet few field final finally fine first five fixed flat fm for freq frequency friend from full fun
gain gave gd ge get gets getting give glad gm go goes going gone good got gotta grab great greetings ground gt guess guy guys
had half ham hand handheld hard has have having he hear hello help her here hes hf hi high hill him his hit hot hour how huge hunting
i if im in into is it its
just keep kept key keyed kn know
la lady last late later least left legend less let level light like line link little live log logged logging lol long look lost lot lots loud low lucky
made main make man many march max may maybe me meet mhz mic mid middle min mins minute minutes moment mon more morning most move moved moving much mute muted my myself
near need needs net never new nice night nil nine no noise noisy none north not nothing now nr
of off ok okay old om omg on once one only op open or os other our out outside over overhead own
pass passes path peak perfect perhaps phone picnic pileup pl please pls plus point poor portable power pretty prob problem pse ptt
qrl qrm qrn qro qrp qrt qru qrv qrx qrz qsb qsk qsl qso qsos qsp qst qsy qth
radio rain rare rather reach ready real really recording report reports rig right rising roger rr run running rx
sad said same sat saw say says scan second seconds see seems seen sending sent set setting settling several she short should side sign signal signals simplex since sir sk sky slight slow small so solid some someone something son soon sorry sota south speech spot squelch start started station stations steady still stop storm strong stuck such summer sun sunny sunrise sunset super sure swing
take talk talking test than thank thanks that thats the their them then there these they thing think this those though thru till time times tks tnx to today told tone too took top total tower tree trees tried true try trying tu tune tuned tuning turn two tx
u uhf under until up uplink ur us use used using usual utc
van vertical very vhf via vibes video voice vy
wait waiting walk walked want wants warm was watch way we weak weather weird well went were west wet what when where which while who whole why will wind windy with within wkd without woohoo wonderful wood work worked working works wow wrong wx
yagi yay yeah year yes yet yesterday you young your youre yup z zone
absolute activation activator activators actually added adif afternoon agreed almighty although amazing announced anyone anything anyway apologies appreciate asked atno awful awake
bag barely barking beach beautiful beginning believe below bench bless booming boots bridge bright broken brother bug bugs burst button
cable calibrate called calls calm camera camp campground camping careful cat caught chair chance change changed chat chatter cheers chilly choppy church circular clip clipped closing coast coffee comment comp complete completed computer condition conditions contact contacts contest corner cows crackly crazy creek crisp crowd crowded crystal cut cutting
dark date daughter days decent degrees delay delicious dessert didn different digital dinner direct direction distorted dogs double drift drifting drive driving drop dropped drops dry dual dude due dune dust
earlier echoey edge eight elbow else empty entire evening ever exactly excited expected explained extra eyes
facing faded faint fair fall fallen family farm father fault favorite fence finger fire fish fishing flag flutter fluttery fog foggy food football forest forever forgot fox friendly front frozen funny
gap garden gear gift girl glass gloves golden goodbye grass gravel grounds group gusty
hail handle hands happen happened happy harbor harbour hat haze head headset headphones hearing heavy hold holding holiday home hope hoping horizon horrible hour hours house humid hungry husband
ice idea idle imho important impressed improve indeed inside instead interference interesting island issue issues
jacket jam join joined joy juice jumped june july
kid kids kind kit knee knew knob knocked
lake lag laptop large lately laugh lawn leaves leg leaving lens letter light lights lightning limited linear listen listened listener listening lively local location loop loss louder lovely lower luck lunch
mast matched maximum mayhem meal mean meadow mega melodic memory message messages mess meter meters metre metres microphone mighty mile miles minimum missed mist mister mixed mobile mom monday monitor monitoring month moon mosquitoes mother motorway mountain mouth mud multipath multiple music
named narrow nasty nearby nearly neat neighbor neighbour nervous news nobody noon normal notch note notes noticed
obs obstruction ocean often omni operating operation operator operators opposite option orbit original others otherwise overdriven overlap
pad paddle paper park parked parking partial party past pasture patience peanut people period person photo picked pick picture pier pile place plain plan plane play pleasure pocket pointing pole police polarity polarization pond pop portion position possible post prior probably proper props pulled push pushed put
qrpp quality quarter quick quickly quiet quite
rainy range rapid rate raw reading reads receive received receiver receiving record recorded recorder red remote repeat repeated repeater reply response rest rested reverse ride river road rock roof room rotator rough round rover rubbish rushed rusty
safe sandwich saturday savage scale scary school scratchy sea season seat selfie send sensitive series serious setup shack shade shady share sharp sheep shelter shift shirt shoes shore shout shower shut shy sick signed silence silent simple single sit site sitting six sleepy slightly slot smile smooth snow snowing soft somebody somehow sometimes sound sounded sounding sounds space speaker special speed splatter splendid spoke squeak squealing stable stand standing stay step stick stood stopped story straight strange stream street strength strength stretch stunning style sudden suddenly sunday superb support surprise swamp swap sweet switch switched system
table tail taking tall tea tearing teeth tent terrible terrific text texted theory thermos thick thin third thousand thumb thunder thursday tight tin tip tiny tired together tomorrow tonight tons tough toward towards town track tracked tracking traffic trail train transponder travel trip tripod trouble truck tuesday tunnel turned twice twist type typed typical
ugly umbrella unable underneath unfortunately unique unit unreadable upper usable usually
valley vehicle vest view visible visit visiting visitor volume
wagon walkie wall warble warbly wasp water wave waved weakly wednesday week weekend welcome whip whisper whoever wide wife window winter wish woke woman woods wooded words worse worst worth woof wrap write written
yard years yell yelling younger
zip`},
	{small, `mp3 mp4 73 73s 88 88s 55s 44s 33s 5w 10w 100w 599k b4 b4n b4u gr8 gr8t gr8est m8 m8s m8te m8y l8 l8r l8er l8y w8 w8ing w8d h8 2day 2nite 2moro 2nd 1st 3rd 4th g2g g2b k9 k9s h2o b2b p2p f2f y2k u2 s2s d2d 4ever 4u 4me n1ce w00t h0t r2d2 x2 x3`},
	{part, `grid grids square squares loc locator locators qth locs from in gridsquare gs`},
	{next, `then next followed`},
	{namer, `name op operator handle named`},
	{heard, `heard hrd hear hearing calling calls called cq monitored monitoring copying swl spotted`},
	{refuses, `undo remove removed bust strike unfinished forget fail fails ignored notworked unable`},
	{refuses, `wasnt wasn't werent weren't isnt isn't aint ain't wouldnt wouldn't wont won't`},
	{refuses, `nix nichts rien zilch non nao nem nada fehlt verloren abgebrochen verpasst perdu perdido perso kwijt falta falsch aucun aucune nessun nenhum ningun sbagliato errado`}, // in other languages
	{refuses, `nicht kein keine keinen niet geen nie pas niente ninguno nunca inte ikke ej rate`},                                                                                     // in other languages
	{heard, `gehort horte entendu escuchado oido ouvido sentito gehoord hort slyszany`},
	{doubts, `vielleicht eventuell wahrscheinlich unsicher leider quizas talvez forse misschien kanske peut-etre`},
	{doubts, `want wishlist incorrect supposedly assumed assume apparently seemingly presumably allegedly verify recheck tbc tbd example similar activates activating plans planning planned`},
	{refuses, `neg negative nc unsuccessful incompl imagined audible swamped vanished disappeared`},
	{small, `snt rcv rcvd`},
	{small, `cmt fyi rem nb remark remarks rmk um uh uhm umm uhh ehm erm ahh`},
	{corrects, `err wait`},
	{denies, `nil denied incomplete unworked cancel cancelled canceled delete ignore scrap busted nope never nogo notinlog`},
	{denies, `didnt didn't dont don't doesnt doesn't couldnt couldn't cant can't  havent haven't failed lost`},
	{doubts, `maybe perhaps possibly possible probably prob think thought unsure guess guessing almost nearly either partial uncertain doubt doubtful might could tried trying try wants wanted need needs needed will tomorrow tonight later sked schedule scheduled waiting expect expecting expected looking hoping hope if dupe duplicate wrong missed question questionable unclear sounded sounds unconfirmed yesterday unless until`},
	{corrects, `no not correction sorry rather oops`},
	{modeword, `fm ssb usb lsb cw fsk rtty psk sstv digi data am ft8 ft4`},
	{needless, `signal grid grids name loc locator square qrm qrn qsb problem problems prob probs issue issues first start beginning tone noise wind rain sun clouds trouble more worries need rush hurry stress doubt doubts wonder kidding joke drama delay sweat card qsls lotw email time`},
	{lets, `unbelievable unbelievably unreal unusual unusually unexpected unexpectedly unforgettable uncrowded undisturbed unlimited unlock unlocked unload unloaded unpack unpacked uncles unions universe universal underpowered underneath understand understood unattended untouched unlike
enjoyed hiked climbed biked cycled sailed traveled travelled operated hosted amazed surprised delighted thrilled pleased relaxed soaked frosted loaded mounted homebrewed powered boosted elevated tilted aimed aligned charged peaked boomed nailed snagged bagged grabbed landed hooked finished achieved reached scored netted secured verified validated acknowledged exchanged swapped matched uploaded emailed mailed chatted helped assisted borrowed rented mixed advanced retired licensed married located situated remoted freckled armchaired wooded smiled laughed waved shouted whispered talked watched followed nonetheless wishes filled packed fished skipped walked camped parked needed squeezed finished sunburned sunburnt hundred kindred sacred wicked naked rugged ragged blessed beloved skilled talented experienced
preamp amp amps amplifier antenna yagi tripod headphones headset internet coverage effort hassle doppler fading fade squelch tower mast dish rotator help mistake mistakes shoes gloves coat`},
	{vague, `hm hmm hmmm mmm kinda sorta nein njet njema roughly approx approximately dunno idk imo imho afaik meh pirate plan todo cluster monday tuesday wednesday thursday friday saturday sunday weekend soon shortly vaguely promised promises barely somewhere`},
	{small, `starting stopping passing beginning trying raining blowing shining looking barking`},
	{well, `worth ok okay fine good great nice solid clear readable workable strong loud worked works made copied logged log complete completed confirmed success successful finally got fun sunny happy easy fb armchair sure enough perfect perfectly sweet cool beautiful great fully still managed done in qsl r5 q5 warm dry beautiful`},
	{small, `aos los tca k r rst rs snr beacon hello`},
	{small | lead, `wrkd wkrd wked wrked workd worke`},
	{lead, `add save put enter worked wkd got gotta get logged log copied qso qsos with just finally and is was that thats okay ok yes yeah now contact contacted caught found have had this it its so we i also another again call callsign station`},
	{link, `and the is he she his her their at out over on my was gave sent thanks thank tnx tks nice good great fine strong weak loud 73 73s qsl cheers bye copied copy clear signal solid tu fb`},
	{counted, `up down el az elevation azimuth max peak about only under nearly minus age aged turned turns elev heading hdg bearing level platform gate exit route channel ch tone pass orbit number nr power qrg temp in qso contact`},
	{unit, `states countries entities prefixes el ele element elements kmh kph knots bft hpa mbar inch inches khz mhz hz watts watt w mw volts v deg degrees min mins minutes sec secs seconds km miles m meters metres feet ft percent times db people stations contacts qsos calls hours hour days c f mph kn years cm dbm way ways corners corner`},
	{counted | unit | month, `jan feb mar apr may jun jul aug sep sept oct nov dec january february march april june july august september october december`},
	{stroke, `stroke slash slant`},
	{mark, `portable mobile rover qrp maritime aeronautical`},
	{name, `
adam adrian al alan albert alejandro alex alexander alfred ali alice allan allen amanda amy ana andre andrea andreas andrew andy angela anita ann anna anne anthony anton antonio art arthur
barb barbara barry beatriz ben bernard bernd bernie beth betty bill billy bjorn bob bobby brad brandon brenda brent brett brian bruce bruno bryan
carl carla carlos carmen carol caroline catherine cesar chad charles charlie chen chris christian christina christine chuck cindy claire clara claude clay cliff clint colin connie craig cristina curt curtis
dale dan daniel danny darren dave david dawn dean debbie deborah dennis derek detlef diana diane dick diego dieter dirk dominik don donald donna doris doug douglas drew duane dustin dwight
earl eddie edgar edith eduardo edward eileen elaine elena eli elizabeth ellen emily emma enrique eric erica erik ernie ernst esteban ethan eva evan evelyn
fabio felix fernando florian floyd francesco francis francisco frank franz fred freddie frederic fritz
gabriel gail gary gene geoff george georg gerald gerard gerd gerhard gerry gianni gilbert giovanni glen glenn gloria gordon grace graham greg gregory guenter guido gunnar gus guy
hal hank hannah hans harald harold harry harvey heather hector heidi heinz helen helmut henri henry herb herbert herman hiro hiroshi holger holly howard hubert hugh hugo
ian igor ines ingrid irene isaac isabel ivan
jack jackie jacob jacques jake james jamie jan jane janet jason javier jay jean jeff jeffrey jen jennifer jens jeremy jerry jesse jessica jesus jill jim jimmy joan joao joe joel joerg johan johann john johnny jon jonas jonathan jordi jorge jose joseph josh joshua joyce juan judy juergen julia julie julio june jurgen justin
kai karen karl kate kathy katie keith kelly ken kenji kenneth kent kevin kim kirk klaus kurt kyle
lance lars larry laura lauren laurent lee len leo leon leonard leroy leslie lester lewis linda lisa liz lloyd lois lou louis luc lucas lucia luigi luis lukas luke lynn
manfred manuel marc marcel marcus margaret maria marie mario marion mark markus marta martha martin marvin mary massimo mateusz matt matthew matthias maurice max mel melissa michael michel michelle miguel mike milton mitch monika monica morgan morris murray
nancy natalie nathan neil nelson nicholas nick nicolas nicole nigel nils nina noah norbert norm norman
olaf ole oliver olivia omar oscar oswald otto owen
pablo pam pamela pat patricia patrick paul paula paulo pavel pedro peggy per pete peter petra phil philip philippe phillip pierre piotr
rachel rafael ralf ralph ramon randy raul ray raymond rebecca reinhard rene ricardo rich richard rick ricky rob robert roberto robin rod rodney roger roland rolf roman ron ronald ronnie rory rosa ross roy ruben rudi russ russell ruth ryan
sally sam samantha samuel sandra sandy sara sarah scott sean sebastian serge sergio seth shane shannon sharon shawn shirley silvia simon sofia sonia stan stanley stefan stella stephanie stephen steve steven stuart sue susan sven sylvia
tadashi takashi tam tamara tammy ted teresa terry theo theresa thomas tim timothy tina tobias todd tom tomas tommy tony tracy travis trevor troy tyler
ulf uli ulrich ursula uwe
val vern vernon veronica vic vicente victor victoria vince vincent viktor virginia vladimir
wade wally walt walter warren wayne wendy werner wes wesley wilhelm will willi william willie wolfgang woody
xavier yann yoshi yuri yves yvonne zach zack zoe`},
}

// words gives the meanings of every word of the lists.
var words = readWords()

func readWords() map[string]meaning {
	m := map[string]meaning{}
	for _, l := range wordLists {
		eachWord(l.words, func(w string) { m[w] |= l.meaning })
	}
	return m
}

// eachWord calls f for every word of a list.
func eachWord(list string, f func(string)) {
	for w := range strings.FieldsSeq(list) {
		f(w)
	}
}
