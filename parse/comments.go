package parse

// commentWords are what people write beside a contact that was one: places,
// weather, gear, people, thanks. A word that stands in no list is no such
// comment; see outlandish. Common practice; no source.
const commentWords = `
abend ability abrazo abrazos absolutely abt academic accent account accurate acorn action activity actual adapter addition additional address adequate admiring adorable
advantage adventure adventurous advice aerial african agency aggressive agreeable agreement ahoj aircraft airplane airport alarm album alcohol alive alley aloha alpine
alps amazingly ambitious american amount ample analysis ancient android anger angle animal anniversary annual antarctic antennas ants apartment apogee appearance appetite
application appointment appropriate arctic area arigato arms arrival arriving arrow arrows article artist artistic ascending ashore asian aspect assistance assistant
astonishing astronomy athletic atmosphere attempts attention attenuator attic attitude attraction attractive audience aunt australian austrian author automatic autumn
available avenue average award aware baby background backpack balance balcony balloon ballot baltic banana bank baofeng barbecue bare barefoot barn baseball basement
basic basically basics basis basket basketball bassy bath bathroom bathtub batteries bbq bcnu bears beauty bedankt bedroom bees beginner belgian bell bells belt benefit
bicycle biking birdies birds birth birthday black blanket bloke blood blue bluebird blues bluff board boardwalk boat body bold bonjour bonne bonus book bookshelf boom
border boss bottle bouncing bouncy bowl brain branch brand brave brazilian bread breakfast breath breathless breeze breezy brick briefly british broad brook brown brunch
brush bucket budget buen buenas bueno buenos building bumpy buonasera buongiorno bureau burger buro bush bushes business butter buyer cabin cafe cake calendar campaign
camper campus canadian canal candle candy canoe canoeing capable capital captain caravan cards caribbean carpet carrot cartoon case cash castle casual cathedral cats cave
ceiling celebrating celebration cell celsius cemetery center centre century certainly certificate chain chainsaw chairlift chairman chalet challenge champion championship
chap chapter character charger charity charm charming chart cheap cheerful cheering cheese chemistry chest chicken chickens chief child childhood children chimney chinese
chips chocolate choice choir christmas ciao cigarette cinema circle citizen city civil class classic classical clearest clearly clever climate climb climbing clipping
clock clothes clothing cloudless clubhouse clublog coach coal coastal coastline code colleague collection college color colour combination comfort comfortable command
commercial commission committee common communication community compact company comparison competition competitive completely complex concept concert conference confidence
confident connection connector conscious considerable consistent constant construction contemporary content context continent continental contract contribution control
convenient conventional conversation cook cookie cooking coop copper corn corridor cost costume cottage cotton coughing country county courage course court courtesy
courtyard cousin cover cpi cracking crackling cream creamy creative creature credit cross crossing crossroads crown crucial cruise cruising cuagn culture curious currency
customer cuz cycle cycling czesc daily damp dance dancing danish dank danke darkness daylight deal dear debut decision deck deer definitely delicate delight delivery demo
democratic demonstration dense department depth descending desense desensed desert design desk detail development deviation dial dialect dias diet difference diplexer
diploma directly dirt disco discovery discussion disk display dist distant distortion district diversity diy dock doctor domestic doorway dozen dramatic drawer drawing
dress drill drink drinking driver drives driveway drizzle drizzling drove drum drunk duck ducks duplexer dusk dusty dutch duty dxcc dxpedition dynamic dziekuje eager
earbuds earth earthquake easily easter eastern eating echoing eclipse economic economy edition editor education educational effect effective efficiency efficient eighth
elderly electric electricity electronic elegant elephant elevator elmer embankment emergency emotion emotional emphasis employee employer encoder endless energetic energy
engine engineer engineering english enjoyable enjoying enjoys enormous entertainment enthusiasm enthusiastic entity entrance entry environment epic eqsl equal equator
equipment especially essential estuary ethnic european event evidence exam exchanges exciting exhibition exotic expedition expensive experience experimental
experimenting expert exploring expression extended extensive extent external extraordinary extreme fabulous face fact factory fades fahrenheit familiar famous farmer
farmland farthest fashion fashionable feature feedback feeling fellow female fer ferry festival fields fierce fifth figure file film filter financial fingers finnish firm
firmware firstly fjord flame flash flew flexible flies flight floor flow flower flowers fluff fluffy fluttering flying focus fold folks foot footprint force foreign form
formal former formula fortunate fortunately fortune forum foundation fountain fourth frame freedom freezing french frequent fresh friendlier friends friendship frog frogs
frost frosty fruit fuel fully functional fundamental furniture furthest future fuzzy gale game garage garbage gardening gate gathering geese general generation generator
generous gentle gentleman gentlemen genuine geography german giant glacier glorious glowing goat goats gorge gorgeous government graceful gracias grade gradual grain
grand granddaughter grandma grandpa grandson grape graph grateful gray grazie greatest greek green greeted greeting grey gridline gridlines grove growth gruesse gruss
grusse guard gud guest guide guitar gusts gute guten habit hailing hair hall hallo hammer hams handie handsome handy hangar happier harbourside harmony harvest health
healthy heart heat heath heatwave heaven hedge hei height hej helicopter helix helpful hens herzlich hey highland highlands highway hikes hiking hilarious hilltop hilly
hiss historic historical history hobby hola holds hole holidays hollow holy homebrew homemade honest honey honeymoon honor horizontal horse horses hospital hostel housing
hpe human humble humming humor humour hundredth icecap icecream ideal image imagination immediate immediately impact importance impressive improvement income incredible
incredibly independence independent indoor industrial industry inflation info initial inlet innocent insects inspection inspiration instantly instruction instrument
insurance intense intensity interaction interest interior internal international interview introduction investment iphone irish iron islands iss italian japanese jeep
jetty jogging joining joint journal journey judge junction jungle junior justice kangaroo kayak kayaking keen kick kiitos kilohertz kiss kitchen klasse knife knowledge
konnichiwa label labor ladies lagoon lakeside landscape lane language laser lass lasting lastly latter laughing launch layer lazy leader leadership leaf league leather
lecture legal leisure length lesson lever library life lift lighthouse liked likes lion liquid list literature lives living load loan lobby lock loft logbook lookout
loose lorry loudest loudly lousy loved loves loving loyal luckily luggage lunar lunchtime lying machine magazine magic magical magnetic magnificent mainland mainly
maintenance major male mall management manager manner manual margin marina market marriage marsh marvellous marvelous mass massive master mate material math matter
meadows meaning measure meat mechanical medal media medical medicine mediterranean meeting megahertz member membership mental menu merci merry metal method mexican
midnight mild milestone military mill milliwatts mind minimal minor minority minus mirror mission misty mni mode model moderate modern modest modulation moin money
monthly mood moonlight moonlit moonrise moor moose morgen mosquito mosquitos moss mostly motion motor motorbike motorcycle motorhome mountainous mountains mountaintop
movie mower muddy muffled muggy muscle museum mushroom musical mutual nadir nail namaste nation national native natural nature needle nephew nest network neutral newcomer
newer newest newspaper nicely nicer nicest niece ninth noble noches normally northbound northeast northern northwest norwegian nose novel novice nurse oasis object
obrigada obrigado obvious occasion occasional office official offset oldest opportunity orchard ordinary organic organization outback outcome outdoor outdoors outer
output outstanding oven overall overcast overlook overlooking overmodulated owner page paint painting pair panel panorama parade paragliding parallel parent parks parrot
particular particularly passenger passion passive patient patio pattern pavement pavilion peace peaceful peaking pedaling pedestrian pencil penguin penguins peninsula
pensioner pepe pepper percentage performance perigee permanent personal personality perspective philosophy photograph photographer physical physics pianist piano pickup
picnicking piece pill pillow pilot pine pinewood pink pioneer pipe pitch pizza planet plant plastic plate plateau platform played player playground playing plays plaza
pleasant plenty plug poem poet poetry polarisation policy polish polite political politics pollution pool popular population porch positive possession potato pottery
powerbank powerful practical practice practicing prairie precious precise preference preparation presence presentation president pressure price pride priest primary prime
prince princess principle print prison private prize process product production productive profession professional professor profile profit program programme progress
project promenade prominent prompt property proposal protection proud province provincial psychology public pupil pupils pure purple purpose puzzle pwr qsled quantity
quarry quay quietly race racing radical radios railroad railway rainbow raining rainstorm ranch rarer rarest rating ravine realistic reasonable recent recently reception
recipe recognition recommendation reef reflection regards region regional regular relation relationship relative relaxing relevant reliable relief religion remarkable
rent repair repairing replacement republic reputation research reserve reservoir residence resolution resort resource respect restaurant resting rhythm rice rides ridge
ridiculous riding ring ritual riverbank roadside rocket rocks rocky rode rogered role rolling romantic rooftop rooster rope rotor routine rowing royal rucksack ruins rule
runs runway rural russian safety sailboat sailing sailor sails salad salary sale salt salty saludos salut saluti sand sandbank sandstorm sang satellite satellites
satisfaction satisfied saturation savanna saying scene scenic schon schone schones science scientific scientist scooter score scottish scout scouts screen sculpture
seagull seagulls seashore seaside secondly secret section sector security selection sends senior sense sensible sentence separate sequence service servus session seventh
severe sez shadow shallow shape sheet shelf shine shiny ship shivering shock shoe shooting shop shopping shoreline shoulder show showers sidewalk sig significant sigs
silk silly silver simply sincere singer singing sings siren sister sits sixth skating skies skiing skill skin sled sleep sleeping sleet slide slim slippery slope slowly
smart smashing smell smiling smoke smoking smoothly snack snacks sneezing snowshoeing snowy soap sober social society sock sofa software soil soir solar soldering soldier
song sophisticated soul soup source southbound southeast southern southwest spanish spare spasibo spectacular speedy sphere spicy spirit spite spontaneous sport spray
spring squad squirrel squirrels stadium staff stage stairs standard stands starry stars state statement static statue status staying steak steam steel stn stomach stone
stones storage store stormy strategy strawberry strict strolling stronger strongest structure student students studio studying stuff subject substantial subtle suburb
sufficient suit suitable summery summit summits sunbathing sunlit sunshine superior supper supreme surely surface surfing surgery surprising surprisingly survey
suspension sweater sweaty swedish swift swim swimming swiss symbol tablet tack takk tank tape tardes tarp task taste teacher teaching team tech technical technique
technology television tells temper temperature temporary tender tennis tension tenth term terrace texture thanked thankyou theater theatre theme thirdly thirsty thrice
thrill throat throne thunderous thunderstorm thunderstorms thx ticket tide tidy tinny title toll tongue tool tooth topic totally touch tour touring tourist towel tractor
trade tradition traditional trailer trailhead training tram transceiver transition transport traveling travelling treat treatment trekking tremendous trick tricky tries
trophy tropical tropics trucker truly trunk truth trx tube tundra turbine turkish twilight ufb ultimate underground undermodulated university update urban ure usage
useful user uses vacation vacuum valuable value variation variety various vast vegetable veranda version vessel veteran viaduct vielen vielendank village vineyard vintage
virus vision visual vital vivid volcano volunteer vote wage waist walking walks wandering warmer warmth warning wasps waterfall waterfront waves weakest wealth wearing
wears wedding weekly weight welcoming welsh western wharf wheel whistling white wid wild wilderness windier windless windmill windswept wine wing winner winning wire
wisdom wise wkg wobble wobbling wolf wooden woodland wool word worker workshop world worldwide worthy writer writing wud xcvr xmtr xyl yacht yachting youngest youth
zenith`

// commentWord reports whether s is one of them and carries nothing else.
func commentWord(s string) bool { return words[s] == small }
