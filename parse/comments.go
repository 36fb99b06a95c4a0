package parse

import "strings"

// commentWords are what people write beside a contact that was one: places,
// weather, gear, animals, people, thanks. They change nothing in how a line is
// read; a word that stands in no list at all may say anything of the contact
// beside it, see outlandish. Common practice; no source.
const commentWords = `
aaah aah aan abend ability above abraco abrazo absolutely abt academic accent account accurate ache aching acorn across action activity actual adapter addition
additional address adequate adios adjust adjusted adjusting admiring adorable adore adult advantage adventure adventurous advice aerial afar africa african afternoons
agency aggressive agl agreeable agreement ahead ahoj aid aids aim aiming aims air aircraft airliner airplane airport alabama alarm alaska albania album alcohol algeria
alive allergies allergy alles alley allo almond aloha alone alongside alpaca alpine alps already alright altitude amazingly ambitious ambulance amen america american
ami amid amiga amigo amis amitie among amongst amount ampere ample amplifiers amsl amsterdam analysis analyzer anchor ancient andes android anger angle anglers angry
animal ankle anniversary annoyed annoying annual antarctic antarctica antelope antennae antennas ants anxious apartment apogee app appalachians appearance appetite
apple application appointment appropriate apps apron aquarium archipelago arctic are area argentina arigato arizona arkansas armband armchair armenia arms arrival
arrive arrived arriving arrow article artist artistic ascending ashore asia asian asl asleep aspect assistance assistant astonished astonishing astronomy ate athens
athletic atlantic atmosphere attempts attention attenuator attic attitude attraction attractive auckland audience auf auguri aunt aurora aus australia australian
austria austrian author automatic autumn aux available avalanche avec avenue average award aware axe aye azerbaijan azores babies baby babysitter backache background
backpack backs backup backward bacon badger bag bagel bags baguette bahamas bahrain bake baked bakery baking balance balconies balcony ball balloon ballot baltic balun
bam bamboo banana bandage bandaged bander bands bandwidth banging bangkok bangladesh bank banner baofeng bar barbecue barber barcelona bare barefoot bargain barge bark
barked barley barn barometer barrel bars baseball basement basic basically basil basis basket basketball bassy bat bath bathroom bathtub batt batteries bay bays bbq
bcnu beaches beams bean beard bearded bearing bears beat beating beaucoup beautifully beauty beaver bed bedankt bedroom beds bee beech beef beep beeped beeping beer
bees beetle beginner bei beijing being belarus belgian belgium believes bell bella bello belly belt benches bene beneath benefit berlin bermuda berry beside between
beyond bicycle bien bigger biggest bike biking bikini bingo birch birdies birds birth birthday biscuit bison bite bits bitte bitten bitter black blackbird blanket
blessings blew blind bliss blissful blister blizzard bloke blood blossom blow blown blue blueberries blueberry bluebird bluetooth bluff blunt boa board boardwalk boat
body boggy boil boiled boiling bold bolivia bolts bom bone bonfire bonjour bonkers bonne bonsoir bonus book bookshelf boom boomy boot border bored boring bosnia boss
boston botswana bottle bought boulder bounce bounced bouncing bouncy bouquet bow bowl box boxes boy boyfriend boys bracket brain bramble branch branches brand bratwurst
brave bravely bravo brazil brazilian bread breakfast breakwater breath breathing breathless breeze breezy brewery brewing brick bride bridges briefly brightened bring
bringing britain british broad brook broom broomstick brothers brought brown bruise bruised brunch brush brussels bubble bucket budapest buddies budget buen buena bueno
buffalo build building built bulgaria bulgarian bull bulldog bulldozer bump bumped bumper bumpy bun bunches bunker buonasera buongiorno buoy bureau burger burn burned
burning burnt buro burrito bus buses bush bushes business butcher butter butterflies butterfly buttons buy buyer buying buys buzz buzzed buzzing cab cabin cables cacti
cactus cafe cairo cake calendar calf california calmness calves camel camouflage campaign camper campfire camps campsite campus canada canadian canal canaries canary
cancer candies candle candy canister canoe canoeing cans canteen canyon cap capable capacitor cape capital caps captain caravan cards caribbean carnival carolina carols
carpathians carpenter carpet carport carried carries carrot carry carrying cars cart cartoon case cash casing castle casual catch catches catching cathedral cats cave
cedar ceiling celebrating celebration cell cellar celsius cemetery center centre century cereal certainly certificate chain chainsaw chairlift chairman chairs chalet
challenge champagne champion championship changes changing channels chanting chap chapel chapter character charger charging charity charm charming chart chase chased
chatty cheap cheddar cheek cheered cheerful cheering cheerio cheers cheery cheese cheesy chef chemistry cherries cherry chess chest chicago chicken chief child
childhood children chile chill chilled chimney chin china chinese chip chirp chirping chirpy chocolate choice choir choke christmas churches ciao cider cigarette cinema
cinnamon circle circus cities citizen city civil clamp clapping class classes classic classical classmate cleaned cleaner cleaning cleans clearer clearest clearing
clearly clerk clever click clicked clicky cliffs climate climb climber climbing clip clipboard clipping clock closer clothes clothing cloudbreak cloudier cloudless
clubhouse clublog clubs clucking coach coal coastal coastline coasts coats cobra cockpit cocktail cocoa cod code coffees coil cola colder coldest colds colleague
collection college colombia color colorado colour combination comet comfort comfortable command commercial commission committee common communication community compact
company comparison compartment compass competition competitive completely complex complicated computers con concept concert conference confidence confident congrats
congratulations conifers connecticut connection connector conscious considerable consistent constant constellation construction container contemporary content contests
context continent continental contract contrail contraption contribution control convenient conventional conversation cook cooked cookie cooking cooler coolest coop cop
copenhagen copper cops coral corn cornfield corridor corsica cost costume cosy cot cottage cotton couch cough coughed coughing counterpoise counties country county
coupler courage course court courteous courtesy courtyard cousin cove cover cow cowboy coworker coyote cozy cpi crab cracking crackle crackling cramp crane crank
crashing crater cream creamy creative creature credit creeks crete cricket cried cries crisps crispy croatia croatian crocodile croissant cross crossed crossing
crossroads crosswind crow crowds crowing crown crucial cruise cruiser cruising crunchy crutches crying cuagn cuba cubesat cuddly culture cup cupcake cups curious
currency curry curved cushion custard customer cuz cycle cycling cyclist cyclone cyprus czech czesc daddy dag daily dairy daisies dakota dam damp dams dance danced
dancing dandelion danish dank danke dans darker darkness darling das dashboard daughters daydreaming daylight daylong deafness deal dear debut decade decide decided
decision deck deckchair deeper deer definitely degree dekuji delaware delhi delicate delight delivery demo democratic demonstration den denmark dense dentist department
depth der des descending desde desense desensed desert design desk despite desserts det detail detour development deviation dew dewpoint dia dial dialect dias dice die
diet difference difficult digger dinghy dinnertime dinosaur diplexer diploma dipoles directly director dirt dirty disco discovery discussion dishes disk display dist
distances distant distortion district ditch ditches dive dived diver diversity diving diwali diy dizzy dobar dobry dock doctor dog doggy dolomites dolphin domestic
donkey donut door doorway dopplers doughnut downhill downlinks downpour downstairs downtown dozen dozing dragon dragonfly dramatic drank draw drawer drawing dreamy
drenched dress dried drier dries driest drill drink drinking drip dripping driven driver drives driveway drizzle drizzled drizzling drizzly drone drought drove drowsy
drum drunk drying dubai dublin duck duckie duckling ducky duct dumplings dunes dungeon duplexer dusk dusty dutch duty dxcc dxpedition dye dynamic dziekuje dzien eager
eagle earbud earliest earphone earth earthquake easier easiest easily easter eastern eat eaten eating eats echoing eclipse economic economy ecuador edition editor
education educational eel een efcharisto effect effective efficiency efficient egg eggs egypt eid eighth ein eine einen elbows elderly electric electrician electricity
electronic elegant elephant elev elevator eleventh elk elmer embankment ember emergency emotion emotional emphasis employee employer emu encoder endless energetic
energy engine engineer engineering england english enjoy enjoyable enjoying enormous entertainment enthusiasm enthusiastic entirely entity entrance entry envelope
environment epic eqsl equal equator equipment especially essential est estate estonia estonian estuary ethiopia ethnic europe european evenings event everybody
everywhere evidence exam excavator exchanges excitement exciting exhausted exhausting exhibition exit exotic expedition expensive experience experimental experimenting
expert exploring expression extended extensive extent external extraordinary extreme extremely eye eyebrow fabulous face fact factories factory fades fahrenheit fairly
fairy falafel falcon falling falls familiar families famous fan faraway farewell farmer farmland farms faroe farthest fashion fashionable fastener faster fastest
fathers favourite fear fearless feast feature fed feed feedback feeding feedline feedpoint feeling felicitations feliz fell fellow female fences fens fer fern ferries
ferrite ferry festival fever fiance fiancee fiber fiberglass fibre fiddle fields fierce fifth fig figure file film filter financial fingers fingertips finland finnish
fir firefighter firefly fireplace fires firewood fireworks firm firmware firs firstly fisher fisherman fishermen fishes fit fix fixes fixing fixture fjord flame
flamingo flash flashlight flask flatmate flats fleece flew flexible flies flight flippers flood flooded flooding floor florence florida flow flower flown flu fluff
fluffy fluttering fly flying focus fog foggier foggiest foil fold folk foods foot footpath footprint force forecast forehead foreign forests forge forgets fork forklift
form formal former formula fort fortress fortunate fortunately fortune forum forward foundation fountain fourth foxes frame fran france free freedom freeway freeze
freezing french frequent fresh freue freut fridge fried friendlier friends friendship fries frigid frisbee frog frontier frost frostbite frosted frosty froze fruit fry
fudge fuel fuller fully functional fundamental funnier fur furniture furthermore furthest fuse future fuzzy gadget galaxy gale gallon game gap garage garbage gardener
gardening gardens garlic gas gasket gate gathering gauge gazebo gazelle gears geese gem general generation generator generous geneva gentle gentleman gentlemen genuine
geography georgia german germany ghana giant giddy giggle giggled giggling gin gingerbread giraffe girlfriend girls gives giving gizmo glacier gladly glasses gli glider
glorious glove glowing glue glued gma gnats goal goat goedemorgen goedenavond goldfish golf goodmorning goodnight goofy goose goosebumps gorge gorgeous goulash
government gozaimasu gps grabs graceful gracias gracious grade gradual grain gram grand grandchild grandchildren granddad granddaughter grandfather grandkids grandma
grandmother grandpa grandparents grandson grandstand granite granny grape graph grasshopper grateful gratulation gravy gray grazie greatest greece greek green
greenhouse greenland greeted greeting grew grey gridline grill grilled grilling grin grinning groeten groetjes groom grounding groundplane groups grouse grove grow
growing grown growth gruess gruesse grumpy gruss grusse guatemala gud guest guide guitar gull gumboots gusting gusts gut gute guten gym habit haha hahaha hahahaha
hailing hailstones hailstorm hair haiti halfway hall hallelujah hallo halloween hamburg hamlet hammer hammering hammock hampshire hams hamster handful handheld's
handhelds handie handsome handy hangar hangglider hanukkah happier happiest happily happiness harbours harbourside harder hardest hare harmony harvest hasta hat hate
hated hats hawaii hawk hay hayfield headache heading headland headphone heads headsets headwind health healthier healthy heaps heart heat heated heath heathland
heatstroke heatwave heaven heavenly heavier heck hedge hedgecutter hedgehog heel heh hehe hehehe hei height hej hejsan held helical helicopter helix hell helpful
helsinki hen hens herd hero heroes heron hers herself herzlich het hey highest highland highly highway hihi hike hiker hiking hilarious hills hillside hilltop hilly
himalaya himself hinge hip hips hiss hissy historic historical history hits hitting hny hobby hockey hola holds hole holidays holland hollow holy homebrew homebuilt
homemade homes honduras honest honey honeybee honeymoon honk honked honking honor hook hooray horizontal hornet horse horseback hospital hostel hotdog hotel hotter
hottest hound houses housing howl howled howling hpe hts hub hug hugs hum human humble humidity hummed humming hummus humor humour hums hundredth hungarian hungary
hunger hunted hunter hurrah hurray hurricane hurt hurting hut huts hvala hyena hyvaa ice iceberg icecap icecream iceland icelandic icicle icing icy idaho ideal igloo
iguana illinois image imagination immediate immediately impact impatient importance impressive improvement income incoming incredible incredibly indeed independence
independent indiana indonesia indoor industrial industry inflation info initial ink inlet inn innocent insane insects inside inspection inspiration instantly
instruction instrument insurance intense intensity interaction interest interior internal international interview into introduction inverter investment iota iowa iphone
iran iraq ireland irish iron islands isle islet israel iss ist istanbul italian italy itching itchy itself ivy jack jackets jackpot jaguar jamaica jams janitor japan
japanese jar jars jaw jealous jeep jellyfish jerusalem jet jetlag jetlagged jets jetty job jobs jog jogged jogger jogging joining joint joker jokes jolly jordan journal
journee journey joyful joystick jubilee judge jug juggling juices juicy jump jumping junction jungle junior jupiter justice kangaroo kansas karaoke kayak kayaking
kazakhstan kebab keen keeping keeps keg kentucky kenya ketchup kettle keyboard keyer kick kicked kiitos kilo kilogram kilohertz kilometer kilometre kindly kiss kitchen
kite kits kitten kitty klasse kneecap knees knife knitting knives knob knock knoll knowledge known knows koala konnichiwa korea korean kosovo kudos kuwait label labor
lad ladder ladies lads ladybug lagoon lakefront lakehouse lakes lakeside lama lamb lamp landscape lane language lanka lantern lap laptops larch larger las lasagna laser
lass lasting lastly latch latest lathe latter latvia latvian laugh laughing launch lava lavender lawnmower lawyer layby layer lazy leader leadership leaf leafblower
league learn learned learning learnt leash leather lebanon lecture leftovers leg legal legendary legends legs leisure lemon lemonade length lens leopard les lesson
letters lettuce lever librarian library libya licence license licensing life lifeboat lifeguard lifejacket lift lifted lighter lighthouse lightnings liked likes lilac
lily lines lion lip lipo lips liquid lisbon list liter literature lithium lithuania lithuanian litre lived lively lives living lizard llama lmao lna lnas load loan
lobby lobster lock loft logbook logs london lonely longer longest looked lookout looks loops loose lorries lorry lot loudest loudly lousy love loved loving lowest loyal
luckily luego luggage lullaby lunar lunchbox lunchbreak lunchtime lung luxembourg lying lynx macedonia machine machinist mad madagascar madeira madrid magazine magic
magical magmount magnet magnetic magnificent magpie mahalo mail mailbox maine mainland mainly maintenance major makes making malaysia male mall malta management manager
mango mangrove manner mansion manual map maple maps marathon margin marina market marmalade marriage marry mars marsh marshmallow marvellous marvelous maryland mason
mass massachusetts massive master masts mat match matches mate material math matter mauritius mayo meadow meals meaning meanwhile measure meat mechanic mechanical med
medal media medical medicine mediterranean meerkat meeting meets megahertz melbourne melon melt melted melting member membership memories men mental menu meow meowing
merci merhaba mermaid merry mesa met metal meteor method mexican mexico mice michigan microphones mics midges midnight midway migraine milan mild mildness milestone
military milk mill mille milliwatts mind mine miner minimal minivan minnesota minor minority minus mirror mission missouri mistier misty mit mni mode model moderate
modern modest modulation moin moments mommy money monk monkey monsoon montana montenegro monthly months montreal monument moo mood moody mooing moonbeam moonless
moonlight moonlit moonrise moons moonshine moor moorland moose mop moreover morgen mornings morocco moscow mosque mosquito moss mostly motel moth mothers motion motor
motorbike motorcycle motorhome mount mountainous mountains mountaintop mouse movie mow mowed mower mowing mows moxon msl muck muddy mudflats mudguard muffin muffled mug
muggy mugs mulled mum mumbai mummy munich muscle museum mushroom musical mustard mutual muy nach nachos nadir nail namaste namibia nap naples naps nation national
native natural nature navidad nebraska nebula neck nectar needle neighbors neighbours neighing nepal nephew nerdy nest net netherlands nettles network neutral nevada
newbie newborn newcomer newer newest newspaper newyear nicaragua nicely nicer nicest niece nigeria nights ninth nippy noble noches noite noodle normally northbound
northeast northern northernlights northwest norway norwegian nose notebook notepad novel novice nozzle numb numbers nun nurse nut nutmeg nuts oak oaktree oar oars oasis
oat oats object obrigada obrigado obvious occasion occasional oceans och octopus oder office official offset ohio oil okay oklahoma older oldest olive olympics oman
omelet omelette onion onto ooh oooh opened opening opportunity opposite orange orbits orchard orchid ordinary oregon organic organization orkney oslo ostrich ottawa
otter ounce ours ourselves outback outcome outdoor outer outgoing output outside outskirts outstanding oven overall overcast overflight overlook overlooking
overmodulated owl owls owner ox oyster pacific pack pad paddleboard paddles paddling paddock paella page pagoda paid pain painful paint painted painter painting pair
paivaa pajamas pakistan pal palace pallet palm pals pan panama pancake panda panel panorama pans panther pants papers para parachute parachutist parade paradise
paraglider paragliding paraguay parakeet parallel paramedic parasol parent paris parks parrot parsley particular particularly partner passenger passion passive past
pasta pastor pasty paths patient patio pattern pavement pavilion paw pay pays pea peace peaceful peach peaches peacock peaking peaks peanuts pear peas pebble pecking
pedal pedaling pedestrian pelican pen pencil penguin peninsula pennsylvania pens pension pensioner pepe pepper percentage performance perigee permanent personal
personality persons perspective peru pet petrol pheasant phew philippines philosophy phones photograph photographer physical physics pianist piano picking pickle picks
pickup picnicker picnicking picnics pie piece piers pies pig pigeon piglet pigs piles pill pillow pilot pine pineapple pinetrees pinewood pink pioneer pipe pirouette
pit pitch pizza planes planet plant planted plaster plastic plate plateau platform playa played player playful playground playing plays plaza pleasant plenty pliers
plug plum plumber pod poem poet poetry pointed points poland polarisation polarised polarized poles policeman policy polish polite political politics pollen pollution
ponds ponies pony pool popcorn poppies popular population por porch porcupine pork porpoise porridge port portugal portuguese positive possession postcard postman pot
pota potato potatoes potholes pots pottery pound pounding pour poured pouring pow powerbank powerful pozdrav pozdrawiam practical practice practicing prague prairie
preamplifier preamps precious precise precisely preference prefix preparation presence presentation president pressure pretzel price pride priest primary prime prince
princess principle print printer prison private privet prize process product production productive profession professional professor profile profit program programme
programmed programming progress project promenade prominent prompt pronounce pronounced property proposal props protection prototype proud proudly province provincial
psu psychology pub public pubs pudding puddle puffin pull pulley pulling puma pump pumpkin punchy pup pupil puppies puppy pure purple purpose purring pushes puts
putting puzzle pwr pyjamas pyramid pyrenees qatar qsled quacking quad quail quantity quarry quay que quicker quieter quietest quieting quietly quirky rabbit raccoon
race racing radical radios raft railroad railway rainbow rainclouds raincoat raindrop rained rainfall rainforest raining rains rainstorm ram ramadan ran ranch rang
ranger rarer rarest raspberries raspberry rat ratchet rating rats rattling raven ravine raw read realistic reasonable receivers recent recently reception recharge
recharged recipe recognition recommendation recorders records recovered recovering reef reel ref reflection reflector refs regarding regards region regional regular
reindeer reise relation relationship relative relaxing relevant reliable relief relieved religion remarkable remember remembered rent repair repaired repairing
repeaters replacement reporter republic reputation research reserve reservoir residence resistor resolution resort resource respect restaurant resting retirement rhino
rhodes rhythm rib rice rides ridge ridiculous riding rigs ring ringing rise risen ritual riverbank rivers riverside rivet roads roadside roaring roast roasted roasting
robin rocket rockies rocks rocky rod rode rodeo rofl rogered role roll rolled rolling romania romanian romantic rome roofs rooftop rookie rooms rooster rope rose
rosemary rotate rotated rotating rotators rotor roundabout routine rowboat rowing royal rubber rucksack rude rug rugby ruins rule ruler rum rumbling runner runs runway
rural russia russian rustling rusty rye saddle saddlebag safety saga sail sailboat sailing sailor salaam salad salam salary sale salmon salt saltmarsh salty saludos
salut saluti sand sandal sandbank sandstorm sandwiches sang santa sap sardinia satellite satisfaction satisfied sats saturation saturn sauce sauna sausage savanna
savannah saved saves saw saying scaffold scarecrow scarf scarves scene scenic schoene schoenen schon schone schonen schools schoolyard schreiend science scientific
scientist scooter scorching score scorpion scotland scottish scout screaming screen screw screwdriver scruffy sculpture sea seafront seagull seal seas seashore seaside
seasons seats seaweed secondly secret section sector security sees sehr selection sell selling sends senegal senior sense sensible sentence seoul separate sequence
serbia serbian service servus session setup seventh severe sez shadow shaft shake shaking shallow shalom shanghai shape shark shave shed sheet shelf shepherd shetland
shin shine shiny ship shirts shivering shock shocked shoe shone shook shooting shop shopping shoreline shores shorter shortest shorts shoulder shouting shouts show
showed showers showing shown shrimp shy sibling sicily sidecar sidewalk sideways sierra sig significant sigs silk silly silver simply sincere sing singapore singer
singing sinus sip siren sister sits six sixth size skate skated skating ski skied skier skies skiing skill skin skipper skis skunk sky skyline skyscraper sled sledding
sledge sleep sleeping sleepyhead sleet slept slid slide sliding slim slippers slippery slope slovak slovakia slovenia slower slowest slowly slug sluggish slush smaller
smallest smart smartphone smashing smell smelled smile smiling smog smoke smoking smoky smoothly snack snacky snail snake snappy sneeze sneezing sniffles snore snoring
snorkel snowball snowdrift snowed snowflakes snowman snows snowshoe snowshoeing snowstorm snowy snug soaking soap sober soccer social society sock socket soda sofa
softly software soggy soil soir solar sold solder soldered soldering soldier som song sons sophisticated sore sorte sota soul soup sour source southbound southeast
southern southwest spa spain spanish spare sparrow spasibo speak speakers speaking spectacular speechless speeds speedy spell spelled spelling spend spent sphere spice
spicy spider spies spin spinach spine spirit spite splashing splinter splitter spontaneous spooky spoon sport spouse spray spring sprint sprinted sprocket spun spy
squad squall squeal squealed squid squirrel stadium staff stag stage stairs stallion stamp stand standard stardust starfish starlight starry stars starving state
statement static statue status stayed staying stays steak steal steam steel steep steeple steppe stew sticks stiff sting stn stockholm stole stomach stone storage store
stories stork stormy stove strait strap strategy strawberries strawberry streams streets strict strimmer string strolling stronger strongest structure strudel stub
student studied studies studio study studying stuff stung stunned sturdy subject substantial subtle suburb suerte sufficient sugar suit suitable suitcase sum summers
summery summit sunbathing sunbeam sunblock sunburn sundial sunflower sung sunglasses sunhat sunlight sunlit sunrays sunrises sunscreen sunshine sunspot sunstroke
superior supermarket supper supply supreme sur surely surf surface surfed surfer surfing surgeon surgery surprising surprisingly survey sushi suspension svalbard
swallow swam swamps swan sweater sweating sweaty sweden swedish sweep sweetest sweetheart sweets sweltering swept swift swim swimming swimsuit swinging swings swiss
switch switches switzerland swivel swollen swr swung sydney symbol syria tables tablet tack taco tada tag tailwind taiwan taken takes takk tal talkative talkie talks
taller tan tangle tangled tank tape tarde tarp task taste tasted tasty taught taxi teach teacher teaches teaching team teapot teas tech technical technique technology
teen teenager television tells temper temperature temple temporary temps ten tender tennessee tennis tension tenth tents term terminal terrace terve tesekkurler testing
tests texas texture thailand thanked thankful thanksgiving thankyou thaw thawing theater theatre theirs theme themselves therefore thermoses thicket thigh things
thirdly thirst thirsty thistle thorn thousandth thread threw thrice thrill throat throne through throughout throw thrown thumbs thunderclap thundering thunderous
thunders thunderstorm thundery thus thx tick ticket tide tidy tie ties tiger til tilt timing tinny tiptoe tire title toad toast toasted toboggan toddler toe toes toffee
tokyo toll tomato tomatoes ton tones tongue tool toolbox tooth toothache top topic torch tornado tornadoes toroid toronto tortoise totally toucan touch touched touches
tour touring tourist tournament tow toward towel towers towns toy toys tracks tractor trade tradition traditional trailer trailhead trails trainer training trains tram
trampled trampoline transceiver transition transmitter transponders transport traveling travelling travels treat treatment treehouse treetop trek trekking tremendous
tres tricky tries trifle trim trimmed trimmer triple tripods tripped trips trolley trophies trophy tropical tropics trousers trout trucker trucks truffle truly trumpet
trunk truth trx tschuess tschuss tub tube tubing tulip tummy tuna tundra tuner tunes tunisia tunnels turbine turkey turkish turning turnip turns turret turtle tusen
tuxedo twelfth twigs twilight twin twisted twists typhoon tyre uber ufb ukraine ukrainian ultimate umbrellas una uncle und underfoot underground undergrowth
undermodulated understands une uniform university uno untangled update uphill uplinks upon upside upstairs urban ure uruguay usage useful user uses utah vacation
vaccine vacuum valentine valleys valuable value valve vancouver vanilla vans variation variety various vase vast vegetable velcro venezuela venice venus veranda vermont
version versus verticals vessel vet veteran viaduct vicar vielen vielendank vienna vietnam viewpoint village vineyard vintage violin virus vision visited visitors
visits visual vital vivid vodka voila volcano volt voltage volunteer von voor vote vulture waders waffle wage waist waiter waitress wake waking wales walker walking
walks walnut walrus wandering war warehouse warmer warmest warmth warmup warning warsaw wash washed washes washing washington wasps watches watered waterfall waterfront
watermelon waterproof wattage wave waving wax wca weaker weakest wealth wear wearing weasel web wedding weekends weekly weeks weight wel welcoming welder wellies welsh
western wetsuit wetter whale wharf wheat wheel wheelchair whew whips whirring whiskey whisky whispers whistle whistled whistling white whoa whoosh wid wider widow
widower width wifi wig wild wilderness willow win windbreak windier windless windmill windows windscreen windshield windswept wine wing winner winning wins winters
wintry wire wiry wisconsin wisdom wise within witty wkg wobble wobbling wochenende wolf wolves wombat women won wonky woo wooden woodland woodpecker woodshed wool
woolly wooo woooo word wore worker workshop worktop world worldwide worm worn worthy wowza wrench wrist writer writes writing wrote wud wwff wyoming xcvr xmas xmtr xyl
yacht yachting yagis yahoo yak yam yards yassou yawn yawning yearly yees yellow yemen yep yes yippee yoga yoghurt yogurt youngest youngster yours yourself youth yum
yummier yummy yup zap zdravo zebra zenith zigzag zimbabwe zipper zones zoo zum zur zurich`

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
