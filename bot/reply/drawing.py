"""From what a picture is to show to the picture: looks the data up, draws it, words it."""

from bot.reply.pictures import to_png  # isort: skip  # first: it settles the font cache before matplotlib loads
from analysis.plots.curve import alt_curve, draw_curve
from analysis.plots.week import alt_week, draw_week
from analysis.ranking import rank_meals
from bot.frames import serving_of, servings_between
from bot.messages import Picture, PictureSpec
from bot.store import Unit


def draw(unit: Unit, spec: PictureSpec, person_id: str) -> Picture:
    """Draw what `spec` names for one person; LookupError when the person or the meal is gone."""
    person = unit.people.get(person_id)
    if person is None:
        raise LookupError(f"no person {person_id}")
    if spec.kind == "week":
        assert spec.since is not None
        assert spec.until is not None
        ranking = rank_meals(servings_between(unit, person, spec.since, spec.until))
        figure = draw_week(ranking, person.unit, person.zone)
        return Picture(spec.name, to_png(figure), alt_week(ranking, person.unit, person.zone))
    logged = None if spec.entry_id is None else unit.log.get(spec.entry_id)
    if logged is None:
        raise LookupError(f"no meal {spec.entry_id}")
    serving, earlier = serving_of(unit, person, logged)
    figure = draw_curve(serving, earlier, person.unit, person.zone)
    return Picture(spec.name, to_png(figure), alt_curve(serving, earlier, person.unit, person.zone))
