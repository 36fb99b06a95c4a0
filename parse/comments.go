package parse

import "strings"

// commentWords are what people write beside a contact that was one: places,
// weather, gear, animals, people, thanks. They change nothing in how a line is
// read; a word that stands in no list at all may say anything of the contact
// beside it, see outlandish. Common practice; no source.
const commentWords = `
aaah aah abend ability above abraco abrazo absolutely abt academic accent account accurate ache aching acorn across action activity actual adapter addition additional
address adequate adios adjust adjusted adjusting admiring adorable adore adult advantage adventure adventurous advice aerial afar africa african afternoons agency
aggressive agl agreeable agreement ahead ahoj aid aids aim aiming aims air aircraft airplane airport alabama alarm alaska albania album alcohol algeria alive alles
alley allo almond aloha alone alongside alpaca alpine alps already alright amazingly ambitious amen america american ami amid amiga amigo amis amitie among amongst
amount ampere ample amplifiers amsl amsterdam analysis analyzer anchor ancient andes android anger angle angry animal ankle anniversary annoyed annoying annual
antarctic antarctica antelope antennae antennas ants anxious apartment apogee app appalachians appearance appetite apple application appointment appropriate apps apron
aquarium archipelago arctic are area argentina arigato arizona arkansas armband armchair armenia arms arrival arrive arrived arriving arrow article artist artistic
ascending ashore asia asian asl asleep aspect assistance assistant astonished astonishing astronomy ate athens athletic atlantic atmosphere attempts attention
attenuator attic attitude attraction attractive auckland audience auguri aunt aurora australia australian austria austrian author automatic autumn available avalanche
avenue average award aware aye azerbaijan azores babies baby babysitter backache background backpack backs backup backward bacon badger bag bagel bags bahamas bahrain
bake baked bakery baking balance balconies balcony ball balloon ballot baltic balun bam bamboo banana bander bands bandwidth banging bangkok bangladesh bank banner
baofeng bar barbecue barber barcelona bare barefoot barge bark barked barley barn barometer barrel bars baseball basement basic basically basil basis basket basketball
bassy bat bath bathroom bathtub batt batteries bay bays bbq bcnu beaches beams bean beard bearded bearing bears beat beating beaucoup beautifully beauty beaver bed
bedankt bedroom beds bee beef beep beeped beeping beer bees beetle beginner beijing being belarus belgian belgium believes bell bella bello belly belt benches bene
beneath benefit berlin bermuda berry beside between beyond bicycle bien bigger biggest bike biking bikini bingo birdies birds birth birthday biscuit bison bite bits
bitte bitten bitter black blackbird blanket blessings blew blind blister blizzard bloke blood blossom blow blown blue blueberries blueberry bluebird bluetooth bluff
blunt boa board boardwalk boat body boggy boil boiled boiling bold bolivia bolts bom bone bonfire bonjour bonkers bonne bonsoir bonus book bookshelf boom boomy boot
border bored boring bosnia boss boston botswana bottle bought boulder bounce bounced bouncing bouncy bouquet bow bowl box boxes boy boyfriend boys bracket brain bramble
branch branches brand brave bravely bravo brazil brazilian bread breakfast breath breathing breathless breeze breezy brewery brick bride bridges briefly brightened
bring bringing britain british broad brook broom broomstick brothers brought brown bruise bruised brunch brush brussels bubble bucket budapest buddies budget buen buena
bueno buffalo build building built bulgaria bulgarian bull bulldog bump bumped bumper bumpy bun bunches bunker buonasera buongiorno buoy bureau burger burn burned
burning burnt buro bus buses bush bushes business butcher butter butterflies butterfly buttons buy buyer buying buys buzz buzzed buzzing cab cabin cables cactus cafe
cairo cake calendar calf california calmness calves camel camouflage campaign camper campfire camps campsite campus canada canadian canal canaries canary cancer candies
candle candy canister canoe canoeing cans canteen canyon cap capable capacitor cape capital caps captain caravan cards caribbean carnival carolina carpathians carpenter
carpet carport carried carries carrot carry carrying cars cart cartoon case cash casing castle casual catch catches catching cathedral cats cave cedar ceiling
celebrating celebration cell cellar celsius cemetery center centre century certainly certificate chain chainsaw chairlift chairman chairs chalet challenge champion
championship changes changing channels chap chapel chapter character charger charging charity charm charming chart chase chased cheap cheek cheered cheerful cheering
cheerio cheers cheese cheesy chef chemistry cherries cherry chess chest chicago chicken chief child childhood children chile chill chilled chimney chin china chinese
chip chirp chirping chirpy chocolate choice choir choke christmas churches ciao cider cigarette cinema cinnamon circle circus cities citizen city civil clamp class
classes classic classical classmate cleaned cleaner cleaning cleans clearer clearest clearing clearly clerk clever click clicked clicky cliffs climate climb climber
climbing clip clipboard clipping clock clothes clothing cloudbreak cloudier cloudless clubhouse clublog clubs coach coal coastal coastline coasts coats cobra cockpit
cocktail cocoa cod code coffees coil cola colder coldest colleague collection college colombia color colorado colour combination comet comfort comfortable command
commercial commission committee common communication community compact company comparison compartment compass competition competitive completely complex complicated
computers concept concert conference confidence confident congrats congratulations connecticut connection connector conscious considerable consistent constant
constellation construction contemporary content contests context continent continental contract contraption contribution control convenient conventional conversation
cook cooked cookie cooking cooler coolest coop cop copenhagen copper cops coral corn cornfield corridor corsica cost costume cosy cot cottage cotton couch cough coughed
coughing counterpoise counties country county coupler courage course court courtesy courtyard cousin cove cover cow cowboy coworker coyote cozy cpi crab cracking
crackle crackling cramp crane crank crater cream creamy creative creature credit creeks crete cricket cried cries crisps croatia croatian crocodile cross crossing
crossroads crow crowds crown crucial cruise cruiser cruising crunchy crutches crying cuagn cuba cubesat cuddly culture cup cupcake cups curious currency curry curved
cushion customer cuz cycle cycling cyclist cyclone cyprus czech czesc daddy dag daily dairy dakota dam damp dams dance danced dancing dandelion danish dank danke darker
darkness dashboard daughters daylight daylong deafness deal dear debut decade decide decided decision deck deckchair deeper deer definitely degree dekuji delaware delhi
delicate delight delivery demo democratic demonstration den denmark dense dentist department depth descending desense desensed desert design desk despite desserts
detail detour development deviation dew dewpoint dia dial dialect dias dice diet difference difficult dinghy dinnertime dinosaur diplexer diploma dipoles directly
director dirt dirty disco discovery discussion dishes disk display dist distances distant distortion district ditch ditches dive dived diver diversity diving diwali diy
dizzy dobar dobry dock doctor dog doggy dolomites dolphin domestic donkey donut door doorway dopplers doughnut downhill downlinks downpour downstairs downtown dozen
dragon dragonfly dramatic drank draw drawer drawing drenched dress dried drier dries driest drill drink drinking drip dripping driven driver drives driveway drizzle
drizzled drizzling drizzly drone drought drove drowsy drum drunk drying dubai dublin duck duckie duckling ducky duct dunes dungeon duplexer dusk dusty dutch duty dxcc
dxpedition dye dynamic dziekuje dzien eager eagle earbud earliest earphone earth earthquake easier easiest easily easter eastern eat eaten eating eats echoing eclipse
economic economy ecuador edition editor education educational eel efcharisto effect effective efficiency efficient egg eggs egypt eid eighth elbows elderly electric
electrician electricity electronic elegant elephant elev elevator eleventh elk elmer embankment ember emergency emotion emotional emphasis employee employer emu encoder
endless energetic energy engine engineer engineering england english enjoy enjoyable enjoying enormous entertainment enthusiasm enthusiastic entirely entity entrance
entry envelope environment epic eqsl equal equator equipment especially essential estate estonia estonian estuary ethiopia ethnic europe european evenings event
everybody everywhere evidence exam exchanges excitement exciting exhausted exhausting exhibition exit exotic expedition expensive experience experimental experimenting
expert exploring expression extended extensive extent external extraordinary extreme extremely eye eyebrow fabulous face fact factories factory fades fahrenheit fairly
fairy falcon falling falls familiar families famous fan faraway farewell farmer farmland farms faroe farthest fashion fashionable fastener faster fastest fathers
favourite fear fearless feast feature fed feed feedback feeding feedline feedpoint feeling felicitations feliz fell fellow female fences fer ferries ferrite ferry
festival fever fiance fiancee fiber fiberglass fibre fiddle fields fierce fifth fig figure file film filter financial fingers fingertips finland finnish fir firefighter
firefly fireplace fires fireworks firm firmware firstly fisherman fishermen fishes fit fix fixes fixing fixture fjord flame flamingo flash flashlight flask flatmate
flats fleece flew flexible flies flight flood flooded flooding floor florence florida flow flower flown flu fluff fluffy fluttering fly flying focus fog foggier
foggiest foil fold folk foods foot footpath footprint force forecast forehead foreign forests forge forgets fork form formal former formula fort fortress fortunate
fortunately fortune forum forward foundation fountain fourth foxes frame france free freedom freeway freeze freezing french frequent fresh freue freut fridge fried
friendlier friends friendship fries frigid frog frontier frost frostbite frosted frosty froze fruit fry fuel fuller fully functional fundamental funnier fur furniture
furthermore furthest fuse future fuzzy gadget gale gallon game gap garage garbage gardener gardening gardens garlic gas gasket gate gathering gauge gazebo gazelle gears
geese gem general generation generator generous geneva gentle gentleman gentlemen genuine geography georgia german germany ghana giant giddy giggle giggled giggling gin
giraffe girlfriend girls gives giving gizmo glacier gladly glasses glider glorious glove glowing glue glued gma gnats goal goat goedemorgen goedenavond goldfish golf
goodmorning goodnight goose gorge gorgeous government gozaimasu gps grabs graceful gracias grade gradual grain gram grand grandchild grandchildren granddad
granddaughter grandfather grandkids grandma grandmother grandpa grandparents grandson grandstand granite granny grape graph grasshopper grateful gratulation gravy gray
grazie greatest greece greek green greenhouse greenland greeted greeting grew grey gridline grill grilled grilling grin grinning groeten groetjes groom grounding
groundplane groups grouse grove grow growing grown growth gruess gruesse grumpy gruss grusse guatemala gud guest guide guitar gull gumboots gusting gusts gut gute guten
gym habit haha hahaha hahahaha hailing hailstones hailstorm hair haiti halfway hall hallelujah hallo halloween hamburg hamlet hammer hammering hammock hampshire hams
hamster handful handheld's handhelds handie handsome handy hangar hanukkah happier happiest happily happiness harbours harbourside harder hardest hare harmony harvest
hasta hat hate hated hats hawaii hawk hay hayfield headache heading headphone heads headsets health healthier healthy heaps heart heat heated heath heatstroke heatwave
heaven heavier heck hedge hedgehog heel heh hehe hehehe hei height hej hejsan held helical helicopter helix hell helpful helsinki hen hens herd hero heroes heron hers
herself herzlich hey highest highland highly highway hihi hike hiker hiking hilarious hills hillside hilltop hilly himalaya himself hinge hip hips hiss hissy historic
historical history hits hitting hobby hockey hola holds hole holidays holland hollow holy homebrew homebuilt homemade homes honduras honest honey honeybee honeymoon
honk honked honking honor hook hooray horizontal hornet horse horseback hospital hostel hotdog hotel hotter hottest hound houses housing howl howled howling hpe hts hub
hug hugs hum human humble humidity hummed humming humor humour hums hundredth hungarian hungary hunger hunted hunter hurrah hurray hurricane hurt hurting hut huts hvala
hyena hyvaa ice iceberg icecap icecream iceland icelandic icicle icing icy idaho ideal igloo iguana illinois image imagination immediate immediately impact impatient
importance impressive improvement income incoming incredible incredibly indeed independence independent indiana indonesia indoor industrial industry inflation info
initial ink inlet inn innocent insane insects inside inspection inspiration instantly instruction instrument insurance intense intensity interaction interest interior
internal international interview into introduction inverter investment iota iowa iphone iran iraq ireland irish iron islands isle islet israel iss istanbul italian
italy itching itchy itself ivy jack jackets jackpot jaguar jamaica jams janitor japan japanese jar jars jaw jealous jeep jellyfish jerusalem jet jetlag jetlagged jetty
job jobs jog jogged jogger jogging joining joint joker jokes jolly jordan journal journee journey joyful joystick jubilee judge jug juices jump jumping junction jungle
junior justice kangaroo kansas karaoke kayak kayaking kazakhstan keen keeping keeps keg kentucky kenya kettle keyboard keyer kick kicked kiitos kilo kilogram kilohertz
kilometer kilometre kindly kiss kitchen kits kitten kitty klasse kneecap knees knife knives knob knock knoll knowledge known knows koala konnichiwa korea korean kosovo
kudos kuwait label labor lad ladder ladies lads ladybug lagoon lakefront lakehouse lakes lakeside lama lamb lamp landscape lane language lanka lantern lap laptops
larger laser lass lasting lastly latch latest lathe latter latvia latvian laugh laughing launch lava lavender lawnmower lawyer layby layer lazy leader leadership leaf
league learn learned learning learnt leash leather lebanon lecture leg legal legendary legends legs leisure lemon lemonade length lens leopard lesson letters lettuce
lever librarian library libya licence license licensing life lifeguard lift lifted lighter lighthouse lightnings liked likes lily lines lion lip lipo lips liquid lisbon
list liter literature lithium lithuania lithuanian litre lived lively lives living lizard llama lmao lna lnas load loan lobby lobster lock loft logbook london lonely
longer longest looked lookout looks loops loose lorries lorry lot loudest loudly lousy love loved loving lowest loyal luckily luego luggage lunar lunchbreak lunchtime
lung luxembourg lying lynx macedonia machine machinist mad madagascar madeira madrid magazine magic magical magmount magnet magnetic magnificent magpie mahalo mail
mailbox maine mainland mainly maintenance major makes making malaysia male mall malta management manager mango manner mansion manual map maple maps marathon margin
marina market marriage marry marsh marvellous marvelous maryland mason mass massachusetts massive master masts mat match matches mate material math matter mauritius
meadow meals meaning meanwhile measure meat mechanic mechanical medal media medical medicine mediterranean meerkat meeting meets megahertz melbourne melon melt melted
melting member membership memories men mental menu meow meowing merci merhaba mermaid merry mesa met metal meteor method mexican mexico mice michigan microphones mics
midges midnight midway milan mild mildness milestone military milk mill mille milliwatts mind mine miner minimal minivan minnesota minor minority minus mirror mission
missouri mistier misty mni mode model moderate modern modest modulation moin moments mommy money monk monkey monsoon montana montenegro monthly months montreal monument
moo mood moody mooing moonbeam moonless moonlight moonlit moonrise moor moorland moose mop moreover morgen mornings morocco moscow mosque mosquito moss mostly motel
moth mothers motion motor motorbike motorcycle motorhome mount mountainous mountains mountaintop mouse movie mow mowed mower mowing mows moxon msl muck muddy mudguard
muffin muffled mug muggy mugs mum mumbai mummy munich muscle museum mushroom musical mustard mutual muy nadir nail namaste namibia nap naples nation national native
natural nature navidad nebraska neck nectar needle neighbors neighbours nepal nephew nerdy nest net netherlands nettles network neutral nevada newbie newborn newcomer
newer newest newspaper newyear nicaragua nicely nicer nicest niece nigeria nights ninth nippy noble noches noite noodle normally northbound northeast northern northwest
norway norwegian nose notebook notepad novel novice nozzle numb numbers nun nurse nut nutmeg nuts oak oar oasis oat object obrigada obrigado obvious occasion occasional
oceans octopus office official offset ohio oil okay oklahoma older oldest olive olympics oman omelet omelette onion onto ooh oooh opened opening opportunity opposite
orange orbits orchard orchid ordinary oregon organic organization orkney oslo ostrich ottawa otter ounce ours ourselves outback outcome outdoor outer outgoing output
outside outskirts outstanding oven overall overcast overlook overlooking overmodulated owl owls owner ox oyster pacific pack pad paddles paddock page pagoda paid pain
painful paint painted painter painting pair paivaa pajamas pakistan pal palace palm pals pan panama pancake panda panel panorama pans panther pants papers parachute
parade paragliding paraguay parakeet parallel paramedic parasol parent paris parks parrot parsley particular particularly partner passenger passion passive past pasta
pastor pasty paths patient patio pattern pavement pavilion paw pay pays pea peace peaceful peach peaches peacock peaking peaks peanuts pear peas pebble pedal pedaling
pedestrian pelican pen pencil penguin peninsula pennsylvania pens pension pensioner pepe pepper percentage performance perigee permanent personal personality persons
perspective peru pet petrol pheasant phew philippines philosophy phones photograph photographer physical physics pianist piano picking pickle picks pickup picnickers
picnicking picnics pie piece piers pies pig pigeon piglet pigs piles pill pillow pilot pine pineapple pinewood pink pioneer pipe pirouette pit pitch pizza planes planet
plant planted plastic plate plateau platform played player playful playground playing plays plaza pleasant plenty pliers plug plum plumber pod poem poet poetry pointed
points poland polarisation polarised polarized poles policeman policy polish polite political politics pollen pollution ponds ponies pony pool popular population porch
porcupine pork porpoise port portugal portuguese positive possession postcard postman pot pota potato potatoes potholes pots pottery pound pounding pour poured pouring
pow powerbank powerful pozdrav pozdrawiam practical practice practicing prague prairie preamplifier preamps precious precise precisely preference prefix preparation
presence presentation president pressure price pride priest primary prime prince princess principle print printer prison private privet prize process product production
productive profession professional professor profile profit program programme programmed programming progress project promenade prominent prompt pronounce pronounced
property proposal props protection prototype proud proudly province provincial psu psychology pub public pubs puddle puffin pull pulley pulling puma pump pumpkin punchy
pup pupil puppies puppy pure purple purpose purring pushes puts putting puzzle pwr pyjamas pyramid pyrenees qatar qsled quad quail quantity quarry quay que quicker
quieter quietest quieting quietly quirky rabbit raccoon race racing radical radios raft railroad railway rainbow rainclouds raincoat raindrop rained rainfall raining
rains rainstorm ram ramadan ran ranch rang ranger rarer rarest raspberries raspberry rat ratchet rating rats raven ravine raw read realistic reasonable receivers recent
recently reception recharge recharged recipe recognition recommendation recorders records recovered recovering reef reel ref reflection reflector refs regarding regards
region regional regular reindeer relation relationship relative relaxing relevant reliable relief relieved religion remarkable remember remembered rent repair repaired
repairing repeaters replacement reporter republic reputation research reserve reservoir residence resistor resolution resort resource respect restaurant resting
retirement rhino rhodes rhythm rib rice rides ridge ridiculous riding rigs ring ringing rise risen ritual riverbank rivers riverside rivet roads roadside roast roasted
roasting robin rocket rockies rocks rocky rod rode rodeo rofl rogered role roll rolled rolling romania romanian romantic rome roofs rooftop rookie rooms rooster rope
rose rosemary rotate rotated rotating rotators rotor roundabout routine rowboat rowing royal rubber rucksack rude rug rugby ruins rule ruler rum runner runs runway
rural russia russian rusty rye saddle saddlebag safety saga sail sailboat sailing sailor salaam salad salam salary sale salmon salt salty saludos salut saluti sand
sandal sandbank sandstorm sandwiches sang sap sardinia satellite satisfaction satisfied sats saturation sauna sausage savanna saved saves saw saying scarecrow scarf
scarves scene scenic schoene schoenen schon schone schonen schools schoolyard science scientific scientist scooter scorching score scorpion scotland scottish scout
screen screw screwdriver scruffy sculpture sea seafront seagull seal seas seashore seaside seasons seats seaweed secondly secret section sector security sees
sehr selection sell selling sends senegal senior sense sensible sentence seoul separate sequence serbia serbian service servus session setup seventh severe sez shadow
shaft shake shaking shallow shalom shanghai shape shark shave shed sheet shelf shepherd shetland shin shine shiny ship shirts shivering shock shocked shoe shone shook
shooting shop shopping shoreline shores shorter shortest shorts shoulder shouting shouts show showed showers showing shown shrimp shy sibling sicily sidecar sidewalk
sideways sierra sig significant sigs silk silly silver simply sincere sing singapore singer singing sip siren sister sits six sixth size skate skated skating ski skied
skier skies skiing skill skin skipper skis skunk sky skyline skyscraper sled sledge sleep sleeping sleepyhead sleet slept slid slide sliding slim slippers slippery
slope slovak slovakia slovenia slower slowest slowly slug sluggish slush smaller smallest smart smartphone smashing smell smelled smile smiling smog smoke smoking smoky
smoothly snack snail snake snappy sneeze sneezing snowball snowdrift snowed snowflakes snowman snows snowshoe snowshoeing snowstorm snowy snug soaking soap sober soccer
social society sock socket soda sofa softly software soggy soil soir solar sold solder soldered soldering soldier song sons sophisticated sore sorte sota soul soup sour
source southbound southeast southern southwest spa spain spanish spare sparrow spasibo speak speakers speaking spectacular speechless speeds speedy spell spelled
spelling spend spent sphere spice spicy spider spies spin spinach spine spirit spite splitter spontaneous spooky spoon sport spouse spray spring sprint sprinted
sprocket spun spy squad squall squeal squealed squid squirrel stadium staff stag stage stairs stallion stamp stand standard starfish starlight starry stars starving
state statement static statue status stayed staying stays steak steam steel steep steeple stew sticks stiff sting stn stockholm stomach stone storage store stories
stork stormy stove strait strap strategy strawberries strawberry streams streets strict string strolling stronger strongest structure stub student studied studies
studio study studying stuff stung stunned sturdy subject substantial subtle suburb suerte sufficient sugar suit suitable suitcase sum summers summery summit sunbathing
sunblock sunburn sundial sunflower sung sunglasses sunhat sunlight sunlit sunrays sunscreen sunshine sunspot superior supermarket supper supply supreme surely surf
surface surfed surfer surfing surgeon surgery surprising surprisingly survey suspension svalbard swallow swam swamps swan sweater sweating sweaty sweden swedish sweep
sweets sweltering swept swift swim swimming swimsuit swings swiss switch switches switzerland swivel swollen swr swung sydney symbol syria tables tablet tack tada tag
taiwan taken takes takk tal talkie talks taller tan tangle tangled tank tape tarde tarp task taste tasted tasty taught taxi teach teacher teaches teaching team teapot
teas tech technical technique technology teen teenager television tells temper temperature temple temporary temps ten tender tennessee tennis tension tenth tents term
terminal terrace terve tesekkurler testing tests texas texture thailand thanked thankful thanksgiving thankyou thaw thawing theater theatre theirs theme themselves
therefore thicket thigh things thirdly thirsty thistle thousandth thread threw thrice thrill throat throne through throughout throw thrown thumbs thunderclap thundering
thunderous thunders thunderstorm thundery thus thx tick ticket tide tidy tie ties tiger tilt tinny tiptoe tire title toad toast toasted toboggan toddler toe toes tokyo
toll tomato tomatoes ton tones tongue tool toolbox tooth toothache top topic torch tornado tornadoes toroid toronto tortoise totally toucan touch touched touches tour
touring tourist tournament tow toward towel towers towns toy toys tracks tractor trade tradition traditional trailer trailhead trails trainer training trains tram
trampled trampoline transceiver transition transmitter transponders transport traveling travelling travels treat treatment treehouse treetop trek trekking tremendous
tres tricky tries trim trimmed trimmer triple tripods tripped trips trolley trophies trophy tropical tropics trousers trout trucker trucks truffle truly trumpet trunk
truth trx tschuess tschuss tub tube tubing tulip tummy tuna tundra tuner tunes tunisia tunnels turbine turkey turkish turning turnip turns turret turtle tusen tuxedo
twelfth twigs twilight twin twisted twists typhoon tyre ufb ukraine ukrainian ultimate umbrellas uncle underfoot underground undergrowth undermodulated understands
uniform university untangled update uphill uplinks upon upside upstairs urban ure uruguay usage useful user uses utah vacation vacuum valentine valleys valuable value
valve vancouver vanilla vans variation variety various vase vast vegetable velcro venezuela venice veranda vermont version versus verticals vessel vet veteran viaduct
vicar vielen vielendank vienna vietnam viewpoint village vineyard vintage violin virus vision visited visitors visits visual vital vivid vodka voila volcano volt
voltage volunteer vote vulture waders waffle wage waist waiter waitress wake waking wales walker walking walks walnut walrus wandering warehouse warmer warmest warmth
warmup warning warsaw wash washed washes washing washington wasps watches watered waterfall waterfront watermelon waterproof wattage wave waving wax wca weaker weakest
wealth wear wearing weasel web wedding weekends weekly weeks weight wel welcoming welder wellies welsh western wetter whale wharf wheat wheel wheelchair whew whips
whiskey whisky whispers whistle whistled whistling white whoa whoosh wid wider widow widower width wifi wig wild wilderness willow win windbreak windier windless
windmill windows windscreen windshield windswept wine wing winner winning wins winters wintry wire wiry wisconsin wisdom wise within wkg wobble wobbling wolf wolves
wombat women won woo wooden woodland woodpecker woodshed wool woolly wooo woooo word wore worker workshop worktop world worldwide worm worn worthy wowza wrench wrist
writer writes writing wrote wud wwff wyoming xcvr xmas xmtr xyl yacht yachting yagis yahoo yak yam yards yassou yawn yawning yearly yellow yemen yep yes yippee yoga
yogurt youngest youngster yours yourself youth yum yummier yummy yup zap zdravo zebra zenith zigzag zimbabwe zipper zones zoo zurich`

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
