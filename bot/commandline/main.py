"""The commands. Each imports what it needs when it runs, so that every one of them starts quickly."""

import io
import json
import os
import shutil
import sys
from contextlib import ExitStack
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from bot.commandline import keeping
from bot.commandline.kinds import What
from bot.commandline.options import AsJson, Db, Out, Who, Zone, opened, settings_for
from bot.model.errors import BadSetting, TablenoteError
from bot.model.messages import ReportVersion
from bot.model.settings import picture_folder
from bot.model.units import find_unit

if TYPE_CHECKING:
    from bot.app import App
    from bot.channels.console import Console
    from bot.channels.prompting import Prompt

HISTORY = "lines.txt"
"""What was written in the terminal, beside its pictures: it goes when they do."""

app = typer.Typer(
    name="tablenote",
    help="A diary of meals and glucose that you talk to. Start with: tablenote chat",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
keeping.add_to(app)


def main() -> None:
    """Run the command line; a refused input is one line on stderr and exit code 1."""
    os.umask(0o077)  # what is written here is a diary: nobody else's to read
    # Matrices here are small: on threads of its own numpy takes twice the processor, and from other people.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):  # a name of a file may hold what the terminal cannot show
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        app()
    except TablenoteError as error:
        sys.stdout.flush()
        print(" ".join(str(error).split()), file=sys.stderr)
        sys.exit(1)
    except BrokenPipeError:  # the reader of our output (head, less) has left
        sys.stderr.close()
        sys.exit(1)
    except OSError as error:
        if error.filename is None:
            raise
        sys.stdout.flush()
        print(f"{error.filename} cannot be used: {error.strerror}.", file=sys.stderr)
        sys.exit(1)


@app.command(epilog="Example: tablenote demo --out demo_out")
def demo(
    out: Out = None,
    everything: Annotated[bool, typer.Option("--all", help="Show every conversation, not one day.")] = False,
) -> None:
    """Play the demo conversations on a fresh database, show one day; pictures and report go into --out."""
    from bot.commandline.demo import show_demo

    missing = show_demo(out or Path("demo_out"), everything=everything)
    if missing:
        counted = "One reply" if missing == 1 else f"{missing} replies"
        _refuse(f"{counted} of the demo did not come as written.")


@app.command(epilog="Example: tablenote chat --tz Europe/Vienna")
def chat(db: Db = None, person: Who = "local", tz: Zone = None, out: Out = None) -> None:
    """Talk in the terminal. Send a file with “(file readings.csv)”, press a button with “(press Undo)”."""
    from bot.channels.console import Console

    with opened(settings_for(db, tz), person) as bot:
        console = Console(bot, person, pictures=out or picture_folder(person))
        if sys.stdin.isatty() and sys.stdout.isatty():
            console.run_in(_prompt(bot, console, person))
        else:
            console.run(sys.stdin, sys.stdout)


def _prompt(bot: "App", console: "Console", person: str) -> "Prompt":
    """Return the line to write on in a terminal."""
    from bot.channels.prompting import Prompt
    from bot.talk.slash_commands import COMMANDS

    def words() -> list[str]:
        with bot.store.read() as tx:
            return [word.name for word in tx.words.all(person)]

    return Prompt(picture_folder(person) / HISTORY, COMMANDS, words, lambda: console.labels)


@app.command(epilog="Example: TABLENOTE_TOKEN=123:abc tablenote serve")
def serve(db: Db = None) -> None:
    """Run the messenger bot: long polling, or webhook when TABLENOTE_WEBHOOK_URL is set."""
    settings = settings_for(db)
    if not settings.token:
        raise BadSetting("Set TABLENOTE_TOKEN to the token of your bot, then start serve again.")
    from bot.channels.telegram_channel import TelegramChannel
    from bot.channels.telegram_limits import Most
    from bot.commandline.heap import share_one_heap
    from bot.commandline.logs import set_up_logs
    from bot.model.clock import CheckedClock
    from bot.reminders.runner import Runner
    from bot.store import lock_single
    from bot.store.copies import check_before_use
    from bot.talk.slash_commands import COMMANDS

    share_one_heap()
    set_up_logs(settings.log, settings.secrets, settings.log_format)
    with ExitStack() as held:
        held.enter_context(lock_single(settings.db))
        check_before_use(settings.db)
        clock = CheckedClock()
        bot = held.enter_context(
            opened(settings, "tg:%", settings.copies, clock=clock, cards=True, works_apart=True)
        )
        TelegramChannel(
            bot,
            token=settings.token,
            api_url=settings.api_url,
            allowed=settings.allowed,
            announce=partial(print, flush=True),
            commands=COMMANDS,
            runner_factory=Runner,
            webhook_url=settings.webhook_url,
            secret=settings.webhook_secret,
            host=settings.host,
            port=settings.port,
            most=Most(settings.messages_per_minute, settings.files_per_day),
            per_second=settings.per_second,
            metrics_for=settings.metrics,
            clock=clock,
            hear_time=clock.hear,
        ).run()


@app.command(epilog="Example: tablenote invite")
def invite(db: Db = None) -> None:
    """Make an invitation that lets one more person talk to the bot."""
    from bot.model.clock import CheckedClock

    settings, clock = settings_for(db), CheckedClock()
    name = ""
    if settings.token:
        from bot.channels.telegram_inviting import find_name, word_invitation

        # first: a code that nobody saw counts as one out
        name = find_name(settings.token, settings.api_url, clock.hear)
    with opened(settings, "tg:%", clock=clock) as bot:
        code = bot.invite()
    if name:
        print(word_invitation(code, name))
    else:
        print(f"To be let in, send the bot this code: {code}")


@app.command(epilog="Example: tablenote replay demo_conversations/1_first_day.chat --check")
def replay(
    file: Annotated[Path, typer.Argument(help="A conversation script.")],
    out: Out = None,
    check: Annotated[bool, typer.Option("--check", help="Fail where a reply differs.")] = False,
    as_json: AsJson = False,
    db: Annotated[str | None, typer.Option("--db", help="Default: a fresh one, gone afterwards.")] = None,
    person: Who = "local",
) -> None:
    """Play one conversation script under a simulated clock."""
    from bot.commandline.play import play_aloud

    missing = play_aloud(file, out, as_json=as_json, check=check, db=db, person=person)
    if check and missing:
        _refuse(f"{missing} of the replies in {file} did not come as written; see the lines with - and +.")


@app.command(epilog='Example: tablenote understand "2 eggs at 7:15" --tz Europe/Vienna --json')
def understand(
    text: Annotated[str | None, typer.Argument(help="One message.")] = None,
    now: Annotated[str | None, typer.Option("--now", help="ISO stamp that counts as now.")] = None,
    tz: Zone = None,
    batch: Annotated[Path | None, typer.Option("--batch", help="JSON lines {id, now, tz, text}.")] = None,
    offers: Annotated[
        bool, typer.Option("--offers/--no-offers", help="Look for what unknown foods may be (0.2 s each).")
    ] = True,
    as_json: AsJson = False,
) -> None:
    """Show what the bot makes of a message; nothing is stored."""
    from bot.commandline.understand import explain, explain_batch, to_words

    if (text is None) == (batch is None):
        raise typer.BadParameter("give a TEXT, or --batch FILE")
    if batch is not None:
        for result in explain_batch(batch, offers=offers):
            print(json.dumps(result, ensure_ascii=False))
        return
    assert text is not None
    understood, zone = explain(text, now=now, tz=settings_for(tz=tz).tz)
    print(to_words(understood, zone, as_json=as_json))


@app.command("import", epilog="Example: tablenote import readings.csv --tz Europe/Vienna")
def import_(
    file: Annotated[Path, typer.Argument(help="A file of glucose readings.")],
    db: Db = None,
    person: Who = "local",
    tz: Zone = None,
    unit: Annotated[
        str | None, typer.Option("--unit", help="mmol/L or mg/dL, if the file is silent.")
    ] = None,
    column: Annotated[
        str | None, typer.Option("--column", help="The column of glucose, by its heading or number.")
    ] = None,
    day_first: Annotated[
        bool | None, typer.Option("--day-first/--month-first", help="Which way round 03/05 is.")
    ] = None,
    second: Annotated[
        bool, typer.Option("--second-sensor", help="A second sensor worn to compare, kept apart.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Store the glucose readings of a file."""
    from bot.commandline.import_file import import_file

    said_unit = None if unit is None else find_unit(unit)
    if unit is not None and said_unit is None:
        raise typer.BadParameter("the unit is mmol/L or mg/dL", param_hint="--unit")
    with opened(settings_for(db, tz), person) as bot:
        said, result = import_file(
            bot, file, person, said_unit, tz, column=column, day_first=day_first, second=second
        )
    print(json.dumps(result) if as_json else said)


@app.command(epilog="Example: tablenote analyse day --since 2026-03-02 --until 2026-03-15 --out pictures")
def analyse(
    what: Annotated[What, typer.Argument(help="What to look at.")],
    since: Annotated[str | None, typer.Option("--since", help="First day, like 2026-03-02.")] = None,
    until: Annotated[str | None, typer.Option("--until", help="Last day, included.")] = None,
    as_json: AsJson = False,
    out: Out = None,
    db: Db = None,
    person: Who = "local",
    protocol: Annotated[
        bool, typer.Option("--protocol", help="Of trials: print each with all that a report holds.")
    ] = False,
) -> None:
    """Show what your notes and readings say: meals, foods, habits, trials, the day, fasting, eating, wear."""
    from bot.commandline.analyse import analyse as run

    with opened(settings_for(db), person) as bot:
        print(run(bot, person, what, since, until, as_json=as_json, out=out, protocol=protocol))


@app.command(epilog="Example: tablenote report --since 2026-03-02 --out report.pdf")
def report(
    since: Annotated[str | None, typer.Option("--since", help="First day; default all there is.")] = None,
    until: Annotated[str | None, typer.Option("--until", help="Last day, included.")] = None,
    out: Annotated[
        Path, typer.Option("--out", help="What to write: an HTML page, or a PDF where it ends in .pdf.")
    ] = Path("report.html"),
    share: Annotated[
        bool, typer.Option("--share", help="Without who you are, dates, your own words and what is private.")
    ] = False,
    clinician: Annotated[
        bool, typer.Option("--clinician", help="One page of published measures for a clinician.")
    ] = False,
    db: Db = None,
    person: Who = "local",
) -> None:
    """Write the report on your run, to keep, print or show: one HTML page with its pictures, or a PDF."""
    from bot.commandline.report import report as run

    if share and clinician:
        raise typer.BadParameter("choose one of --share and --clinician")
    version: ReportVersion = "share" if share else "clinician" if clinician else "whole"
    with opened(settings_for(db), person) as bot:
        print(run(bot, person, since, until, out, version))


@app.command(epilog="Example: tablenote erase --yes")
def erase(
    db: Db = None,
    person: Who = "local",
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
) -> None:
    """Delete everything held about one person, for good, pictures of `chat` included."""
    with opened(settings_for(db), person) as bot:
        with bot.store.read() as tx:
            if tx.people.get(person) is None:
                raise BadSetting(f"Nothing is held about “{person}”: name who it is with --person.")
        if not yes:
            typer.confirm(f"Delete everything held about “{person}”?", abort=True)
        with bot.store.begin() as tx:
            tx.people.erase(person)
    shutil.rmtree(picture_folder(person), ignore_errors=True)
    print(f"Deleted everything held about “{person}”.")


def _refuse(sentence: str) -> NoReturn:
    sys.stdout.flush()
    print(sentence, file=sys.stderr)
    raise typer.Exit(1)
