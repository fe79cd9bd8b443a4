from tests.talk import talking


def test_how_many_carbs_names_the_figures_of_the_last_meal_before_its_curve() -> None:
    with talking() as talk:
        noted = talk.say("150 g cooked rice")
        figures = next(line for line in noted.splitlines() if "carbohydrate" in line)
        assert talk.say("how many carbs was that?").startswith(figures)
        assert figures not in talk.say("how was that?")
