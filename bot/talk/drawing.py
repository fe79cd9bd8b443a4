"""Pictures and whole reports, drawn in a process of their own, so that no answer in words waits for one."""

from bot.language.texts import speaking
from bot.model.messages import Picture, PictureSpec
from bot.store import SPOKEN, Store
from bot.talk.own_process import MOST_MB, OwnProcess, opened


def draw(store: Store, spec: PictureSpec, person: str) -> Picture:
    """Draw one picture, in the language of whom it is for."""
    if spec.kind == "report":
        from bot.report.sending import draw_report as drawn
    elif spec.kind == "everything":
        from bot.export.package import draw_package as drawn
    else:
        from bot.answers.drawing import draw as drawn
    with store.read() as tx:
        known = tx.people.get(person)
        with speaking(*SPOKEN if known is None else known.spoken):
            return drawn(tx, spec, person)


class Drawer(OwnProcess):
    """One process that draws from the database at an address."""

    def __init__(self, db: str, most_mb: float = MOST_MB) -> None:
        super().__init__("draws", most_mb)
        self._db = db

    def draw(self, spec: PictureSpec, person: str) -> Picture:
        """Draw one picture; what goes wrong with it is raised here."""
        return self.run(_draw, self._db, spec, person)


def _draw(db: str, spec: PictureSpec, person: str) -> Picture:
    return draw(opened(db), spec, person)
