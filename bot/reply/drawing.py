"""From what a picture is to show to the picture: looks the data up, draws it, words it."""

from collections.abc import Callable
from datetime import date

from bot.reply.pictures import to_png  # isort: skip  # first: it settles the font cache before matplotlib loads
from matplotlib.figure import Figure

from analysis.plots.average import alt_average, alt_two, draw_average, draw_two
from analysis.plots.compare import alt_compare, draw_compare
from analysis.plots.curve import alt_curve, draw_curve
from analysis.plots.day import alt_day, draw_day
from analysis.plots.fasting import alt_fasting, draw_fasting
from analysis.plots.week import alt_week, draw_week
from analysis.ranking import rank_meals
from bot.day_traces import trace_day
from bot.frames import serving_of, servings_between
from bot.frames_days import average_between, fasting_between, lines_by_day
from bot.messages import Picture, PictureKind, PictureSpec
from bot.store import Logged, Person, Unit

Drawn = tuple[Figure, str]
WEEKENDS = ("weekday", "weekend")
