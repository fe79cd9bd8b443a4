"""Standing texts of the report and of the page for a clinician."""

SOURCES = (
    "Sources: the area rule of FAO (1998) and ISO 26642; ranges and the amount of data, Battelino 2019; how "
    "much one person's response to one meal varies, Vega-Lopez 2007; intakes, EFSA, SACN, WHO and the EU as "
    "named beside them. Lines at 7.8 and 11.1 mmol/L (140 and 200 mg/dL) are defined for blood two hours "
    "after 75 g of glucose, and stand here for reference only."
)
NOT_ALL = (
    "An even line is not the only aim: fibre, protein and enough to eat stand beside each meal in the table "
    "below."
)
NO_RULES = (
    "You have drawn no rule yet. In the chat, “my rule: …” keeps one in your own words, and “what are my "
    "rules?” lists, changes and drops them."
)
RULES_PROPOSED = "This run would support, beyond chance:"
RULES_CLINICIAN = (
    "Because of what you told me of yourself I propose no rules: please ask a clinician what suits you."
)
CLINICAL_LIMITS = (
    "A sensor reads the fluid under the skin, some minutes behind the blood, and differs from the next "
    "sensor by up to a few tenths of a mmol/L. The ranges and the amount of data are as published for sensor "
    "readings, most of them for people with diabetes. Meals and sleep are as the wearer noted them. Nothing "
    "here is a diagnosis.",
)
