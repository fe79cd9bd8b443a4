"""One transaction, with everything the store can do in it."""

from collections.abc import Collection

import sqlalchemy

from bot.store.asked import Asked
from bot.store.cards import Cards
from bot.store.cautions import Cautions
from bot.store.comparisons import Comparisons
from bot.store.connection import Connection
from bot.store.everything import Row, rows_of
from bot.store.facts import Facts
from bot.store.first_hour import FirstHour
from bot.store.inbox import Inbox
from bot.store.invitations import Invitations
from bot.store.journal import Journal
from bot.store.log import Log
from bot.store.open_files import OpenFiles
from bot.store.outbox import Outbox
from bot.store.pending import Pending
from bot.store.people import People
from bot.store.photos import Photos
from bot.store.posts import Posts
from bot.store.readings import Readings
from bot.store.reminders import Reminders
from bot.store.rules import PrivateEntries, Rules
from bot.store.shares import Shares
from bot.store.shifts import Shifts
from bot.store.tokens import Tokens
from bot.store.trials import Trials
from bot.store.words import Words


class Transaction:
    """What is done together: all of it is kept, or nothing. It ends with the `with` block it came from.

    connection: for what copies or writes out whole tables, inside this room
    """

    def __init__(self, bare: sqlalchemy.Connection) -> None:
        self.connection, connection = bare, Connection(bare)
        self.journal = journal = Journal(connection)
        self.people = People(connection, journal)
        self.inbox = Inbox(connection)
        self.log = Log(connection)
        self.readings = Readings(connection)
        self.reminders = Reminders(connection)
        self.shifts = Shifts(connection, journal)
        self.outbox = Outbox(connection)
        self.pending = Pending(connection)
        self.tokens = Tokens(connection, journal)
        self.posts = Posts(connection)
        self.words = Words(connection, journal)
        self.facts = Facts(connection, journal)
        self.first_hour = FirstHour(connection)
        self.cautions = Cautions(connection)
        self.comparisons = Comparisons(connection)
        self.shares = Shares(connection, journal)
        self.trials = Trials(connection)
        self.asked = Asked(connection, journal)
        self.cards = Cards(connection)
        self.photos = Photos(connection)
        self.files = OpenFiles(connection, journal)
        self.invitations = Invitations(connection)
        self.rules = Rules(connection)
        self.private = PrivateEntries(connection)

    def everything(self, person: str, photos: Collection[int] | None = None) -> dict[str, list[Row]]:
        """Return all that is held about a person: for each table, its rows by their key.

        photos: the ids of those whose bytes are wanted, all by default
        """
        return rows_of(self.connection, person, photos)
