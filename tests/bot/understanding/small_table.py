"""A small food table with round weights, so that expected grams can be worked out by hand."""

from bot.foodtable import FoodTable
from bot.foodtable.composition import Composition
from bot.foodtable.everyday import Everyday, read_measures, read_weight

# name | other names | category | measures | portion. 100 g of every food hold 100 kcal and 10 g carbohydrate.
_FOODS = """
rye toast | | Yeast breads | slice 30 (25-40) | 60 (30-90)
toast | | Yeast breads | slice 30 (25-40), thick slice 45, piece 30 | 60 (30-90)
bread | white bread, rye bread | Yeast breads | slice 35 (30-45), piece 35 | 70 (35-100)
butter | | Butter and animal fats | tsp 5, tbsp 15 | 10 (5-20)
egg | boiled egg, fried egg | Eggs and omelets | piece 50 (40-60), large 60 | 100 (50-150)
scrambled egg | | Eggs and omelets | piece 60 | 120 (60-180)
oats | | Cereal Grains | cup 80, tbsp 10 | 50 (30-80)
porridge | | Oatmeal | bowl 250 (180-350) | 250 (150-350)
milk | whole milk | Milk, whole | glass 200 (150-250), cup 240, density 1.03 | 200 (100-300)
pear | | Pears | piece 180 (150-220) | 180 (150-220)
banana | | Bananas | piece 120 (100-140), large 150 | 120 (80-140)
apple | | Apples | piece 180 (150-220), large 220 | 180 (150-220)
rice | cooked rice, brown rice | Rice | cup 160, bowl 200, tbsp 20 | 180 (100-300)
chicken | chicken breast, chicken curry | Chicken | piece 120 | 140 (80-220)
salmon | | Fish | fillet 130 (100-180), piece 130 | 130 (90-200)
soup | lentil soup, tomato soup | Soups | bowl 300 (200-400), density 1 | 300 (200-450)
salad | | Lettuce and lettuce salads | bowl 100 | 80 (40-160)
pizza | | Pizza | piece 350 (250-450), slice 100 (70-150) | 300 (150-450)
coffee | black coffee | Coffee | cup 200, mug 250, density 1 | 200 (100-350)
tea | | Tea | cup 200, mug 250, density 1 | 250 (150-350)
beer | | Beer | pint 568, bottle 500, piece 400, density 1 | 400 (300-600)
orange juice | | Citrus juice | glass 200, density 1.05 | 200 (150-300)
sugar | | Sugars and honey | tsp 4, piece 4 | 5 (3-15)
jam | | Jams, syrups, toppings | tsp 7, tbsp 20 | 15 (7-30)
cheese | | Cheese | slice 20 | 30 (15-60)
almonds | | Nuts and seeds | handful 30 (20-40), piece 1.2 | 30 (15-60)
spinach | | Spinach | handful 30 | 90 (45-180)
vegetables | veg | Other vegetables | cup 100 | 120 (60-250)
pasta | spaghetti | Pasta | cup 140, plate 250 | 200 (120-350)
potato | | White potatoes | piece 170 (120-250), small 100 | 180 (100-300)
fish and chips | | Fish | portion 400 | 400 (300-500)
ham | | Cold cuts | slice 15 | 30 (15-60)
sandwich | ham sandwich | Chicken fillet sandwiches | piece 150 | 150 (100-250)
omelette | | Eggs and omelets | piece 120 | 120 (60-200)
smoothie | | Smoothies and grain drinks | glass 250 | 300 (200-400)
yogurt | yoghurt | Yogurt, regular | tbsp 20, pot 150, cup 245 | 150 (100-250)
honey | | Sugars and honey | tsp 7 | 15 (7-30)
garlic | | Vegetables | clove 3 | 3 (2-6)
vinegar | | Spices and Herbs | tbsp 15 | 15 (5-30)
cinnamon | | Spices and Herbs | tsp 2.6 | 2 (1-5)
water | | Tap water | glass 200, density 1 | 250 (150-500)
roast dinner | | Beef | plate 500 | 500 (300-700)
"""


def build_small_table() -> FoodTable:
    """Build the table; every food's description is its name in capitals."""
    entries, rows, categories = [], [], []
    for line in _FOODS.strip().splitlines():
        name, also, category, measures, portion = (column.strip() for column in line.split("|"))
        density, weights = read_measures(measures)
        others = tuple(other.strip() for other in also.split(",") if other.strip())
        entries.append(Everyday(name, others, name.upper(), weights, read_weight(f"~{portion}"), density, ""))
        if category not in categories:
            categories.append(category)
        rows.append([name.upper(), categories.index(category), 100.0, 10.0, 1.0, 2.0, 3.0, 1.0, 4.0])
    return FoodTable(Composition(rows, categories), entries)
