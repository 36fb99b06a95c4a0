package parse

// commentWords are what people write beside a contact that was one: places,
// weather, gear, people, thanks. A word that stands in no list is no such
// comment; see outlandish. Common practice; no source.
const commentWords = `
abend abrazo abrazos absolutely abt acorn adapter adventure aerial african ahoj aircraft airplane airport alarm alley aloha alpine alps amazingly american ancient android
anniversary antarctic antennas ants apartment apogee arctic arigato arms arrow arrows ascending asian astronomy attempts attenuator attic aunt australian austrian avenue
award baby backpack balcony balloon baltic banana baofeng barbecue barn basement basically bassy batteries bbq bcnu bears bedankt bees beginner belgian bell bells bicycle
biking birdies birds birthday black blanket bloke blue bluff boardwalk boat bonjour bonne boom border brazilian bread breakfast breathless breeze breezy briefly british
brook brown brunch buen buenas bueno buenos building buonasera buongiorno bureau burger buro bush bushes cabin cafe cake camper canadian canal canoe captain caravan cards
caribbean castle cathedral cats cave celsius cemetery century certainly certificate chainsaw chairman chalet chap charger cheese chickens child children chinese chips
chocolate choir ciao city class clearest clearly climbing clipping clubhouse clublog coastline colleague college color colour completely concert connector continent
cooking coop corridor cottage coughing country county course courtyard cousin cpi cracking crackling crossroads cruise cuagn cuz cycling czesc damp danish dank danke deck
deer definitely demo demonstration descending desense desensed desert deviation dial dias diplexer diploma directly dist distortion diy dock doctor doorway dozen drill
drinking driveway drizzle drizzling duck ducks duplexer dusk dusty dutch dxcc dxpedition dziekuje earbuds easily eastern eating echoing eclipse eighth elephant elmer
embankment encoder engine engineer english enjoyable enormous entity epic eqsl equator especially estuary european event exam exchanges exciting exhibition expedition
fabulous factory fades fahrenheit famous farmer farmland feedback fellow fer ferry festival fields fifth filter fingers finnish firmware firstly fjord flies flowers
fluttering flying folks footprint foreign fortunately fountain fourth freezing french fresh friends frogs frost frosty fruit fully gale garage gardening gate geese
generator gentle gentleman gentlemen geography german giant glacier goat goats gorge gorgeous gracias granddaughter grandma grandpa grandson gray grazie greatest greek
green grey gridline gridlines grove gruesse gruss grusse gud guitar gusts gute guten hailing hallo hammer hams handie handy hangar harbourside heat heath heatwave hedge
hei hej helix hens herzlich hey highlands highway hiking hilltop hiss history hola holidays hollow homebrew homemade honeymoon horizontal horse horses hospital hostel hpe
humming hundredth icecream immediately impressive incredible incredibly inlet insects instantly international iphone irish islands iss italian japanese jeep jetty jogging
journey junction kangaroo kayak kiitos kilohertz kitchen klasse konnichiwa ladies lagoon lakeside lane lass lastly laughing lesson lighthouse loft lookout lorry loudest
loudly luckily lying magnificent mainland mainly mall marina market marsh marvellous marvelous massive mate math meadows measure medal mediterranean megahertz merci
mexican midnight mild milestone mill milliwatts minus misty mni modern modulation moin moonlight moonlit moonrise moor moose morgen mosquito mosquitos moss mostly motor
motorbike motorcycle motorhome mountains mountaintop mower muddy muffled muggy museum nadir namaste national needle nephew newcomer newer newest nicely niece ninth noches
normally northeast northern northwest norwegian novice oasis obrigada obrigado office offset oldest orchard outback overcast overlook overmodulated panel parks parrot
particularly patient patio pavement pavilion peaking pedestrian penguin penguins peninsula pensioner pepe perigee physics piano pickup picnicking pilot pine pinewood pink
pizza plateau platform playground plaza pleasant plug polarisation polish polite porch powerbank prairie presentation president pressure promenade proud province pupil
pupils purple pwr qsled quarry quay quietly radios railway rainbow raining ranch rarer rarest ravine recently reef regards regional regular reserve reservoir resort
restaurant resting ridge riverbank roadside rocks rogered rooftop rooster rotor rowing rucksack ruins runway russian sailboat sailing sailor saludos salut saluti sand
sandbank satellite satellites savanna schon schone schones science scooter scottish scout scouts seagull seagulls seashore seaside secondly servus seventh sez ship
shivering shop shoreline shoulder showers sidewalk sig sigs silver simply singing siren sister sixth skies skiing sled sleet slope slowly smashing smiling smoothly snack
snacks sneezing snowy software soir solar soup southeast southern southwest spanish spasibo speedy squirrel squirrels stadium stairs starry stars state static stn stones
stormy strongest student students suburb summit summits sunlit sunshine supper surely surprising surprisingly sweaty swedish swimming swiss tablet tack takk tape tardes
tarp teacher team temperature tenth terrace thankyou thirdly thirsty thrice thunderous thx tide tinny toll totally tour tractor trailer trailhead tram transceiver
traveling travelling tries trophy tropics trucker truly trx tundra turbine turkish twilight ufb undermodulated university ure vacation veranda vessel veteran viaduct
vielen vielendank village vineyard volcano volunteer walking wasps waterfall waterfront waves weakest wedding welsh western wharf whistling white wid windmill wine wkg
wobble wobbling woodland workshop wud xcvr xmtr xyl yacht youngest youth zenith`
