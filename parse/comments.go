package parse

import "strings"

// commentWords are what people write beside a contact that was one: places,
// weather, gear, animals, people, thanks. They change nothing in how a line is
// read; a word that stands in no list at all may say anything of the contact
// beside it, see outlandish. Common practice; no source.
const commentWords = `
abend ability abrazo abrazos absolutely abt academic accent account accurate acorn action activity actual adapter addition additional address adequate admiring adorable
advantage adventure adventurous advice aerial african agency aggressive agreeable agreement ahoj air aircraft airplane airport alarm album alcohol alive alley aloha
alongside alpaca alpine alps alright amazingly ambitious american amid among amongst amount ample analysis anchor ancient android anger angle animal anniversary annual
antarctic antelope antennas ants apartment apogee appearance appetite application appointment appropriate apron archipelago arctic area arigato armband armchair arms
arrival arriving arrow arrows article artist artistic ascending ashore asian aspect assistance assistant astonishing astronomy athletic atmosphere attempts attention
attenuator attic attitude attraction attractive audience aunt aurora australian austrian author automatic autumn available avalanche avenue average award aware aye baby
babysitter background backpack backup badger bag bagel balance balcony balloon ballot baltic bamboo banana banging bank banner baofeng bar barbecue barber bare barefoot
barge barley barn barrel baseball basement basic basically basics basil basis basket basketball bassy bath bathroom bathtub batteries bay bbq bcnu beard bearded bearing
bearings bears beauty beaver bed bedankt bedroom bee bees beetle beginner belgian bell bells belt benefit berry beside besides between beyond bicycle biking birdies birds
birth birthday bison bits black blackbird blanket blizzard bloke blood blossom blue bluebird blues bluff board boardwalk boat body bold bonfire bonjour bonne bonus book
bookshelf boom border boss bottle boulder bouncing bouncy bouquet bow bowl box boy bracket brain branch brand brave bravo brazilian bread breakfast breath breathless
breeze breezy brewery brick briefly british broad brook brown brunch brush bubble bucket budget buen buenas bueno buenos buffalo building bulldog bumper bumpy bun bunker
buonasera buongiorno buoy bureau burger buro bus bush bushes business butcher butter butterfly buyer cab cabin cactus cafe cake calendar camel camouflage campaign camper
campus canadian canal candle candy canister canoe canoeing canyon cap capable cape capital captain caravan cards caribbean carnival carpenter carpet carrot cartoon case
cash casing castle casual cathedral cats cave cedar ceiling celebrating celebration cell celsius cemetery center centre century certainly certificate chain chainsaw
chairlift chairman chalet challenge champion championship chap chapel chapter character charger charity charm charming chart cheap cheerful cheering cheers cheese chef
chemistry cherry chest chicken chickens chief child childhood children chimney chinese chips chocolate choice choir christmas ciao cider cigarette cinema cinnamon circle
citizen city civil clamp class classic classical clearest clearly clerk clever climate climb climbing clip clipping clips clock clothes clothing cloudless clubhouse
clublog coach coal coastal coastline cobra cockpit cocktail cod code colleague collection college color colour combination comet comfort comfortable command commercial
commission committee common communication community compact company comparison compartment compass competition competitive completely complex concept concert conference
confidence confident congrats congratulations connection connector conscious considerable consistent constant constellation construction contemporary content context
continent continental contract contraption contribution control convenient conventional conversation cook cookie cooking coop copper coral corn cornfield corridor cost
costume cosy cot cottage cotton coughing country county coupler courage course court courtesy courtyard cousin cove cover cow cowboy coyote cozy cpi crab cracking
crackling crane crank crater cream creamy creative creature credit cricket crocodile cross crossing crossroads crow crown crucial cruise cruiser cruising cuagn culture
cup cupcake curious currency curry cushion customer cuz cycle cycling czesc daily dairy dam damp dance dancing dandelion danish dank danke darkness daylight deal dear
debut decision deck deckchair deer definitely delicate delight delivery demo democratic demonstration dense dentist department depth descending desense desensed desert
design desk despite detail detour development deviation dew dial dialect dias diet difference dinghy dinosaur diplexer diploma directly dirt disco discovery discussion
disk display dist distant distortion district diver diversity diy dock doctor dolphin domestic donkey donut doorway doughnut dozen dragon dragonfly dramatic drawer
drawing dress drill drink drinking driver drives driveway drizzle drizzling drone drought drove drowsy drum drums drunk duck ducks duct dungeon duplexer dusk dusty dutch
duty dxcc dxpedition dye dynamic dziekuje eager eagle earbuds earth earthquake easily easter eastern eating echoing eclipse economic economy edition editor education
educational eel effect effective efficiency efficient egg eggs eighth elderly electric electrician electricity electronic elegant elephant elevator elk elmer embankment
ember emergency emotion emotional emphasis employee employer emu encoder endless energetic energy engine engineer engineering english enjoyable enjoying enjoys enormous
entertainment enthusiasm enthusiastic entity entrance entry environment epic eqsl equal equator equipment especially essential estate estuary ethnic european event
evidence exam exchanges exciting exhibition exit exotic expedition expensive experience experimental experimenting expert exploring expression extended extensive extent
external extraordinary extreme eye fabulous face fact factory fades fahrenheit fairy falcon familiar famous fan farmer farmland farthest fashion fashionable fastener
feature feedback feeling fellow female fer ferry festival fiber fiberglass fibre fiddle fields fierce fifth fig figure file film filter financial fingers finnish fir
firefighter firefly fireplace fireworks firm firmware firstly fit fixture fjord flame flamingo flash flask fleece flew flexible flies flight flood floor flow flower
flowers fluff fluffy fluttering flying focus fog foil fold folks foot footprint force foreign forge form formal former formula fort fortress fortunate fortunately fortune
forum foundation fountain fourth frame freedom freeway freezing french frequent fresh fridge friendlier friends friendship frog frogs frost frosty fruit fuel fully
functional fundamental fur furniture furthest future fuzzy gadget gale game gap garage garbage gardener gardening gas gasket gate gathering gauge gazebo gazelle gears
geese gem general generation generator generous gentle gentleman gentlemen genuine geography german giant giddy giraffe gizmo glacier glorious glowing gma goat goats
goldfish goose gorge gorgeous government graceful gracias grade gradual grain grand granddaughter grandma grandpa grandson grandstand grape graph grasshopper grateful
gravy gray grazie greatest greek green greeted greeting grey gridline gridlines grill grouse grove growth gruesse grumpy gruss grusse gud guest guide guitar gull gusts
gute guten gym habit hailing hair hall hallo hamlet hammer hammering hammock hams hamster handie handsome handy hangar happier harbourside hare harmony harvest hat hawk
hay hayfield health healthy heart heat heath heatwave heaven hedge hedgehog hei height hej helicopter helix helpful hen hens herd heron herzlich hey highland highlands
highway hikes hiking hilarious hilltop hilly hinge hip hiss historic historical history hobby hola holds hole holidays hollow holy homebrew homemade honest honey honeybee
honeymoon honor hook hooray horizontal hornet horse horseback horses hospital hostel hound housing hpe hub hug hugs human humble humming humor humour hundredth hunter
hurrah hurricane hut hyena ice iceberg icecap icecream icy ideal igloo iguana image imagination immediate immediately impact importance impressive improvement income
incredible incredibly indeed independence independent indoor industrial industry inflation info initial ink inlet inn innocent insects inside inspection inspiration
instantly instruction instrument insurance intense intensity interaction interest interior internal international interview into introduction investment iota iphone irish
iron islands iss italian ivy jack jaguar janitor japanese jar jaw jeep jellyfish jet jetlagged jetty jogger jogging joining joint joker jolly journal journey joystick
judge jug junction jungle junior justice kangaroo karaoke kayak kayaking keen keg kettle kick kiitos kilohertz kiss kitchen kitten klasse knife knob knobs knoll knowledge
koala konnichiwa kudos label labor lad ladder ladies ladybug lagoon lakeside lama lamb landscape lane language lantern lap laser lass lasting lastly latch lathe latter
laugh laughing laughs launch lava lavender lawnmower lawyer layer lazy leader leadership leaf league leather lecture leg legal leisure lemonade length lens leopard lesson
lettuce lever librarian library life lifeguard lift lighthouse liked likes lily lion lip liquid list literature lively lives living lizard llama load loan lobby lobster
lock loft logbook lookout loose lorry lot loudest loudly lousy loved loves loving loyal luckily luggage lunar lunchtime lying lynx machine machinist magazine magic
magical magnet magnetic magnificent magpie mainland mainly maintenance major male mall management manager mango manner mansion manual map maple marathon margin marina
market marriage marsh marvellous marvelous mason mass massive master mat mate material math matter meadow meadows meaning measure meat mechanic mechanical medal media
medical medicine mediterranean meerkat meeting megahertz melon member membership mental menu merci mermaid merry mesa metal meteor method mexican midnight mild milestone
military mill milliwatts mind miner minimal minivan minor minority minus mirror mission misty mni mode model moderate modern modest modulation moin money monk monsoon
monthly mood moonbeam moonlight moonlit moonrise moor moose mop morgen mosquito mosquitos moss mostly moth motion motor motorbike motorcycle motorhome mountainous
mountains mountaintop movie mower muddy muffled muggy muscle museum mushroom musical mustard mutual nadir nail namaste nap nation national native natural nature nectar
needle nephew nerdy nest net network neutral newcomer newer newest newspaper nicely nicer nicest niece ninth noble noches noodle noodles normally northbound northeast
northern northwest norwegian nose novel novice nozzle nun nurse nut nutmeg oak oar oasis oat object obrigada obrigado obvious occasion occasional octopus office official
offset oil okay oldest olive onion onto opportunity opposite orchard orchid ordinary organic organization ostrich otter outback outcome outdoor outdoors outer output
outside outstanding oven overall overcast overlook overlooking overmodulated owl owner ox oyster pad paddock page pagoda paint painter painting pair pal palace palm pan
pancake panda panel panorama panther parachute parade paragliding parakeet parallel paramedic parasol parent parks parrot parsley particular particularly passenger
passion passive past pasta pastor patient patio pattern pavement pavilion paw pea peace peaceful peach peacock peaking pear pebble pedal pedaling pedestrian pelican pen
pencil penguin penguins peninsula pensioner pepe pepper percentage performance perigee permanent personal personality perspective pet petrol pheasant philosophy
photograph photographer physical physics pianist piano pickle pickup picnicking pie piece pig pigeon pill pillow pilot pine pineapple pinewood pink pioneer pipe pirouette
pit pitch pizza planet plant plastic plate plateau platform played player playful playground playing plays plaza pleasant plenty pliers plug plum plumber pod poem poet
poetry polarisation polarised polarized policeman policy polish polite political politics pollution pony pool popular population porch porcupine porpoise positive
possession postman pot pota potato pottery pounding powerbank powerful practical practice practicing prairie precious precise preference preparation presence presentation
president pressure price pride priest primary prime prince princess principle print prison private prize process product production productive profession professional
professor profile profit program programme progress project promenade prominent prompt property proposal props protection proud province provincial psychology pub public
puffin pulley puma pump pumpkin pup pupil pupils puppy pure purple purpose puzzle pwr pyramid qsled quail quantity quarry quay quietly quirky rabbit raccoon race racing
radical radios raft railroad railway rainbow raining rainstorm ram ranch ranger rarer rarest raspberry rat ratchet rating raven ravine raw realistic reasonable recent
recently reception recipe recognition recommendation reef reel ref reflection refs regarding regards region regional regular reindeer relation relationship relative
relaxing relevant reliable relief religion remarkable rent repair repairing replacement reporter republic reputation research reserve reservoir residence resolution
resort resource respect restaurant resting rhino rhythm rib rice rides ridge ridiculous riding ring ritual riverbank rivet roadside robin rocket rocks rocky rod rode
rodeo rogered role rolling romantic rooftop rooster rope rosemary rotor routine rowboat rowing royal rucksack rug ruins rule runs runway rural russian rusty rye saddle
safety saga sailboat sailing sailor sails salad salary sale salmon salt salty saludos salut saluti sand sandal sandbank sandstorm sang sap satellite satellites
satisfaction satisfied saturation savanna saw saying scarecrow scarf scene scenic schon schone schones science scientific scientist scooter score scorpion scottish scout
scouts screen screw screwdriver scruffy sculpture sea seagull seagulls seal seashore seaside seaweed secondly secret section sector security selection sends senior sense
sensible sentence separate sequence service servus session setup seventh severe sez shadow shaft shallow shape shark shed sheet shelf shepherd shine shiny ship shivering
shock shoe shooting shop shopping shoreline shoulder show showers shrimp shy sidecar sidewalk sig significant sigs silk silly silver simply sincere singer singing sings
sip siren sister sits six sixth skating ski skies skiing skill skin skipper skunk sky skyline skyscraper sled sleep sleeping sleet slide slim slippery slope slowly slug
sluggish smart smashing smell smile smiles smiling smoke smoking smoothly snack snacks snail snake snappy sneezing snowball snowman snowshoeing snowstorm snowy snug soap
sober social society sock socket sofa software soil soir solar solder soldering soldier song sophisticated sota soul soup source southbound southeast southern southwest
spa spanish spare sparrow spasibo spectacular speedy sphere spicy spider spinach spirit spite spontaneous spooky sport spray spring sprocket squad squid squirrel
squirrels stadium staff stag stage stairs stallion stand standard stands starfish starry stars state statement static statue status staying steak steam steel steeple stn
stomach stone stones storage store stork stormy strait strap straps strategy strawberry strict string strolling stronger strongest structure stub student students studio
studying stuff sturdy subject substantial subtle suburb sufficient suit suitable summery summit summits sunbathing sundial sunflower sunlit sunscreen sunshine superior
supper supreme surely surface surfer surfing surgeon surgery surprising surprisingly survey suspension swallow swan sweater sweaty swedish swift swim swimming swiss
switch swivel symbol tablet tack takk tan tangled tank tape tardes tarp task taste taxi teacher teaching team teapot tech technical technique technology teenager
television tells temper temperature temple temporary ten tender tennis tension tenth term terrace texture thanked thankyou theater theatre theme thicket things thirdly
thirsty thistle thread thrice thrill throat throne throughout thumbs thunderous thunderstorm thunderstorms thx ticket tide tidy tie tiger tinny title toad toddler toe
toll tomato ton tongue tool tools tooth top topic torch tornado tortoise totally toucan touch tour touring tourist tow toward towards towel toy toys tractor trade
tradition traditional trailer trailhead trainer training tram trampoline transceiver transition transport traveling travelling treat treatment treehouse trekking
tremendous tricky tries trolley trophy tropical tropics trout trucker truffle truly trunk truth trx tub tube tubing tulip tuna tundra turbine turkey turkish turnip turret
turtle tuxedo twilight typhoon ufb ultimate underground undermodulated university update upon urban ure usage useful user uses vacation vacuum valuable value valve
vanilla variation variety various vase vast vegetable velcro veranda version versus vessel vet veteran viaduct vicar vielen vielendank village vineyard vintage virus
vision visual vital vivid volcano volunteer vote vulture waffle wage waist waiter waitress walking walks walnut walrus wandering warmer warmth warning wasps waterfall
waterfront watermelon wave waves wax wca weakest wealth wearing wears weasel web wedding weekly weight welcoming welder welsh western whale wharf wheat wheel whistling
white wid wig wild wilderness willow windier windless windmill windswept wine wing winner winning wire wiry wisdom wise within wkg wobble wobbling wolf wombat wooden
woodland woodpecker wool word worker workshop world worldwide worthy wrench writer writing wud wwff xcvr xmtr xyl yacht yachting yak yam yes yogurt youngest youth yup
zebra zenith zipper zoo`

// comments holds them.
var comments = readComments()

func readComments() map[string]bool {
	m := map[string]bool{}
	for w := range strings.FieldsSeq(commentWords) {
		m[w] = true
	}
	return m
}

// isComment reports whether a word is one of them, or several of one.
func isComment(s string) bool {
	return comments[s] || len(s) > 4 && s[len(s)-1] == 's' && comments[s[:len(s)-1]]
}
