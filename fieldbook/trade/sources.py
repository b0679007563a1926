"""Where the facts and rules of the trade come from, each written once.

What is no published fact says so: "common practice, no source", or "from memory".
"""

COMMON = "common practice, no source"
MEMORY = "from memory: put in what is true of your woods"
CREW = "the crew's own"
ARITHMETIC = "arithmetic on the numbers given"

MANUAL_OLDER = (
    "North American Maple Syrup Producers Manual, older table, as taught by US extension services"
)
MANUAL = (
    "North American Maple Syrup Producers Manual, recommended table; "
    "van den Berg et al. 2012 (NSRC report) for high vacuum"
)
QUEBEC_PRIVATE = "Quebec regulation M-35.1, r. 8.1, s. 6"
QUEBEC_PUBLIC = "Quebec regulation A-18.1, r. 8.1, s. 58, in force to the end of 2022"
ONTARIO = "Leuty, OMAFRA, 2014"
MENSURATION = "standard in forest mensuration: fixed plots and the angle gauge"

ZONE = (
    "van den Berg & Perkins, A Model of the Tapping Zone, Maple Syrup Digest 26 (2014): "
    "the zone, and 90 % clean wood to aim at; the geometry and the stain factor are fieldbook's"
)
GROWTH = (
    "van den Berg, Perkins, Isselhardt & Wilmot 2016, Forest Science 62:107-114: healthy trees "
    "gained 1.8 in2 of basal area a year at 10 in, 3.5 at 18; 1.4 and 2.6 is the least that lasts; "
    "35 % of trees fall below"
)
STAIN = "50 for sugar maple, from memory and uncertain: the sensitivity to it is shown"
ZONE_MILD = (
    "with a stain factor of 50 the sum is milder than the growth its authors later found to be the "
    "least that lasts (2016); for one tap at 10 in, 75 to 80 would match it"
)
STAIN_SURVEY = "UVM Extension 2019: producers hit stained wood with 4.5 % of holes, from 0 to 41 %"

DEPTH = "van den Berg et al., Tapping practices to maximize yields over the long-term (UVM)"
BITS = "UVM: sharpen or change the bit after about 2,500 holes"
DROPS = "Perkins 2014; UVM: drops every 3 years or so, one third a year, new spouts every year"
DROP_LENGTH = "Perkins 2014; UVM: 30-36 in"
SANITATION = (
    "UVM: of the gain from sanitation the spout brings about 70 %, the drop 20 %; "
    "Perkins 2010: new spouts alone 10 to 15 % more sap"
)
REPLACEMENT = "the classical replacement problem: the cycle with the least average cost a year"

MAINLINE = "UVM, UNH: mainlines at 2-4 %, short stretches to 0.5 %; under 1,000 ft long (UNH)"
MANNING = "Manning's formula for open channels; n = 0.010 for smooth plastic, from memory"
PEAK = "0.2 gal an hour and tap measured once; 0.2-0.5 as design, from memory: the cautious end"
PIPE_AREA = "OSU 2013: a pump's air is shared by pipe area; 60 CFM over four equal lines is 15 each"
AIR = (
    "Darcy-Weisbach for isothermal flow, friction after Swamee & Jain; OSU 2013 gives 8 CFM at the "
    "end of 1,000 ft of 1 in line on a 60 CFM pump, without sap in it: ours is the cautious side"
)
AIR_NEED = "1 CFM for 100 taps (UVM, OSU, Cornell)"
VACUUM_LOSS = "pump to taphole at most 1 inHg apart (Leduc 2019)"
SAG = "parabola of a hung line, sag = w L2 / (8 T); no belly while it stays under slope x span / 4"

HIGH_VACUUM = "high vacuum means 25 inHg or better"
VACUUM_GAIN = "about 5 % more sap for each inHg, 4-7 %, linear (Wilmot, UVM; Centre ACER 2015)"
ATMOSPHERE = "US Standard Atmosphere 1976"
VALVE_TEST = "valve shut about ten seconds, opened, listened to: common practice, no source"
WALK = (
    "most sap an hour of walking first (Smith 1956); the longest line left to whoever has least "
    "so far (Graham 1969)"
)
YEARS = (
    "prediction interval at 95 % of the years before, by Student's t "
    "(Hahn & Meeker 1991; NIST e-Handbook)"
)
GROUPS = "interval of the difference of two means at 95 % (Welch 1947)"
TREND = "median of the slopes between every two readings (Theil 1950; Sen 1968)"

PACE = MEMORY
LABOUR = "Huyler 2000, USDA NE-712: 4.74 minutes a tap and season in 1998, 9.60 in 1975"
SHRUNK = "gamma-Poisson: the default counts as so many hours of work, and fades as the record grows"
RESAMPLING = "resampling of recorded days (bootstrap: Efron 1979)"
ONE_CREW = "Lawler 1973 (1|prec|Lmax); Jackson 1955 where no task waits for another"

RULE_OF_86 = "rule of 86 (Jones, UVM)"
REVISED_86 = "revised rule of 86 (Perkins & Isselhardt); its -0.32 from memory"
