"""Where quoted formulas and figures come from, by the key used in docstrings and tests.

Each says how much of it was read: "text", "abstract", or "by way of" another text. "From memory" means that
the figure was recalled, not read, and is marked so wherever it is used.
"""

REFERENCES: dict[str, str] = {
    "ada2021": "American Diabetes Association. Standards of Medical Care in Diabetes 2021, tables 2.2, 2.5. "
    "Read: tables. The lines 7.8 and 11.1 mmol/L are for plasma two hours after 75 g glucose.",
    "ahrq2014": "Design and implementation of N-of-1 trials: a user's guide. Agency for Healthcare "
    "Research and Quality 2014, chapter 4 (pairs of two treatments, order drawn inside each). Read: "
    "opening of the chapter.",
    "aqeel2020": "Aqeel M, et al. Nutrients 2020;12:221 (20 studies, 352 people; PMC7019516). Read: "
    "abstract; volume and page from memory.",
    "basu2013": "Basu A, et al. Diabetes 2013;62:4083-4087: delay of 5.3 to 6.2 min in fasting healthy "
    "adults. Read: abstract.",
    "battelino2019": "Battelino T, et al. Diabetes Care 2019;42:1593-1603. Read: by way of table 6.2 of the "
    "ADA Standards.",
    "bergenstal2018": "Bergenstal RM, et al. Diabetes Care 2018;41:2275-2280. Read: abstract; the formula "
    "from memory.",
    "benjamini1995": "Benjamini Y, Hochberg Y. J R Stat Soc B 1995;57:289-300. Not read, from memory; "
    "checked against scipy.stats.false_discovery_control.",
    "brandmiller2007": "Brand-Miller JC, et al. Am J Clin Nutr 2007;85:1545-1551. Read: abstract.",
    "brouns2005": "Brouns F, et al. Glycaemic index methodology. Nutr Res Rev 2005;18:145-171. Read: title "
    "page; its rule from memory.",
    "burton2008": "Burton P, Lightowler HJ. The impact of freezing and toasting on the glycaemic response "
    "of white bread. Eur J Clin Nutr 2008;62:594-599. Read: abstract.",
    "donga2010": "Donga E, et al. J Clin Endocrinol Metab 2010;95:2963-2968 (9 healthy). Read: abstract.",
    "efron1975": "Efron B, Morris C. J Am Stat Assoc 1975;70:311-319. Not read, table and idea from memory.",
    "efsa2010": "EFSA Panel on Dietetic Products. Dietary reference values for carbohydrates and dietary "
    "fibre, and for fats, 2010: 45 to 60 % and 20 to 35 % of energy, 25 g of fibre for adults. Read: EFSA's "
    "announcement.",
    "efsa2012": "EFSA Panel on Dietetic Products. Dietary reference values for protein, 2012: 0.83 g a kg of "
    "body weight for adults. Not read, from memory.",
    "eu1169": "Regulation (EU) No 1169/2011, Annex XIII part B: 2,000 kcal, 70 g fat, 20 g saturates, 260 g "
    "carbohydrate, 50 g protein for an average adult. Read: the table.",
    "fao66": "FAO/WHO. Carbohydrates in human nutrition. FAO Food and Nutrition Paper 66, 1998, ch. 4. "
    "Read: by way of a review; the worked example from memory.",
    "fisher1935": "Fisher RA. The design of experiments. 1935, section 21. Not read, from memory; "
    "checked against scipy.stats.permutation_test.",
    "freitas2021": "Freitas D, et al. Eur J Nutr 2021;60:113-122. Read: abstract.",
    "garaulet2022": "Garaulet M, et al. Diabetes Care 2022;45:512 (845 people, 75 g glucose). Read: "
    "abstract.",
    "gentilcore2006": "Gentilcore D, et al. J Clin Endocrinol Metab 2006;91:2062 (6 men, type 2). Read: "
    "abstract.",
    "hand1996": "Hand D, Crowder M. Practical Longitudinal Data Analysis. Chapman & Hall 1996; the data as "
    "R's nlme::Glucose. Read: the data; the areas were computed from them.",
    "hill2011": "Hill NR, et al. Diabetes Technol Ther 2011;13:921-928. Read: the J-index for mmol/L and "
    "the table of 70 people.",
    "hlebowicz2007": "Hlebowicz J, et al. Am J Clin Nutr 2007;85:1552 (14 healthy, 6 g). Read: abstract; "
    "that 1 to 3 g did nothing is from memory. The daily amount: BfR 2012, read by way of another text.",
    "holm1979": "Holm S. Scand J Stat 1979;6:65-70. Not read, from memory.",
    "iso26642": "ISO 26642:2010. Determination of the glycaemic index. Not read; its rule from memory.",
    "jenkins1982": "Jenkins, Ghafari, Wolever, et al. 1982 (17 adults, 50 g carbohydrate), as a row of the "
    "table in Clarke ST, et al. Nutrients 2022;14:849. Read: the row.",
    "jennisonturnbull1989": "Jennison C, Turnbull BW. J R Stat Soc B 1989;51:305-361 (repeated "
    "intervals). Not read, from memory.",
    "kimdemets1987": "Kim K, DeMets DL. Biometrika 1987;74:149-154 (share spent by a power of "
    "information). Not read, from memory.",
    "kovatchev2006": "Kovatchev BP, et al. Risk function of glucose (1997, 2006). Read: an appendix with "
    "the scale's conditions; the constants for mmol/L from memory, checked against those conditions.",
    "lightowler2008": "Lightowler HJ, et al. Int J Food Sci Nutr 2008;59:61 (15 people, about 25 g fat). "
    "Read: methods and abstract.",
    "loh2020": "Loh R, et al. Sports Med 2020;50:295 (37 studies, -0.54, -0.70 to -0.37). Read: abstract.",
    "mcdonnell2005": "McDonnell CM, et al. Diabetes Technol Ther 2005;7:253-263 (CONGA). Read: by way of a "
    "table of definitions.",
    "marriott1954": "Marriott FHC, Pope JA. Biometrika 1954;41:390-402 (bias of serial correlations). Not "
    "read, from memory.",
    "moller2015": "Möller K. A carbohydrate-rich and a protein-rich formula diet. Journal of Nutrition and "
    "Health Sciences 2015. Read: abstract.",
    "molnar1972": "Molnar GD, et al. Diabetologia 1972;8:342-348 (MODD). Read: by way of a table of "
    "definitions.",
    "nathan2008": "Nathan DM, et al. Diabetes Care 2008;31:1473-1478 (507 people, 80 without diabetes). "
    "Read: abstract.",
    "obrien1979": "O'Brien PC, Fleming TR. Biometrics 1979;35:549-556. Not read, from memory; their "
    "bounds recomputed.",
    "ogtt2019": "Monophasic glucose response curve. Abstract 1663-P, Diabetes 2019;68(Suppl 1). Read: text.",
    "order2020": "Order of foods in Indian adults without diabetes. doi 10.1177/0260106020975573. Read: "
    "abstract.",
    "phillips2023": "Phillips NE, Collet TH, Naef F. Cell Reports Methods 2023;3:100545; open data of the "
    "repository naef-lab/MultiSensor (Apache-2.0). Read: the data.",
    "pleus2021": "Pleus S, et al. J Diabetes Sci Technol 2022;16:649 (mean absolute relative difference of "
    "two sensor systems, 12.5 and 13.2 %). Read: abstract.",
    "reynolds2016": "Reynolds AN, et al. Diabetologia 2016;59:2572 (ratio of means 0.88, 0.78 to 0.99). "
    "Read: abstract.",
    "reynolds2018": "Reynolds AN, Venn BJ. Nutrients 2018;10:1743. Read: abstract.",
    "sacn2015": "Scientific Advisory Committee on Nutrition. Carbohydrates and Health, 2015: 30 g of fibre "
    "(AOAC) a day, mean of adults. Read: by way of a summary.",
    "saunders2018": "Saunders TJ, et al. Sports Med 2018 (20 studies, d -0.36). Read: abstract.",
    "selvin2024": "Selvin E. Diabetes Care 2024;47:906-914. Read: abstract.",
    "service1970": "Service FJ, et al. Diabetes 1970;19:644-655 (MAGE). Read: by way of a table of "
    "definitions; the direction rule from memory.",
    "shishehbor2017": "Shishehbor F, et al. Diabetes Res Clin Pract 2017;127:1. Read: abstract; its cautions "
    "from memory.",
    "shukla2017": "Shukla AP, et al. BMJ Open Diabetes Res Care 2017;5:e000440 (3125 against 6704 "
    "mg/dL·min). Read: abstract.",
    "vohra2015": "Vohra S, et al. CENT 2015. BMJ 2015;350:h1738, with Shamseer L, et al. h1793. Read in "
    "part: the items 1a, 3a, 4a, 4c, 5 and the rationale.",
    "welch1947": "Welch BL. Biometrika 1947;34:28-35. Not read, volume and pages from memory; checked "
    "against scipy.stats.ttest_ind.",
    "westfall1993": "Westfall PH, Young SS. Resampling-based multiple testing. 1993. Not read, from memory.",
    "who2023": "World Health Organization. Guidelines on saturated fat and on carbohydrate, 2023: at most "
    "10 % of energy, at least 25 g of fibre. Read: by way of news of them.",
    "wolever2004": "Wolever TMS. Br J Nutr 2004;91:295-301. Read: abstract.",
}
