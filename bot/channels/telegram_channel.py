"""The messenger channel: receives updates, loses none, keeps each chat in order, and sends the replies.

An update is stored before it is acknowledged, so a bot that is killed finds it again at its next start, and
the talker handles each once. The talker's plain functions run on a few threads beside the event loop.
"""

import asyncio
import json
import logging
import os
import signal
from collections.abc import Awaitable, Callable, Coroutine, Iterable, Sequence
from contextlib import suppress
from datetime import datetime
from functools import partial
from typing import Any, TypeVar

from telegram import BotCommand, Update
from telegram.error import Conflict, InvalidToken, TelegramError
from telegram.ext import Application, ApplicationBuilder, CallbackContext, TypeHandler

from bot.channels.store_patience import StorePatience
from bot.channels.telegram_alone import LISTEN_S, Alone
from bot.channels.telegram_delivery import Delivery
from bot.channels.telegram_entrance import Entrance
from bot.channels.telegram_handling import Handling
from bot.channels.telegram_holding import Holding
from bot.channels.telegram_limits import NO_LIMIT, Limits, Most
from bot.channels.telegram_queue import ChatOrder, DurableQueue, PollingRequest, TimedRequest, bad_token
from bot.channels.telegram_reception import Reception
from bot.channels.telegram_telling import Telling
from bot.channels.telegram_threads import Threads
from bot.channels.telegram_updates import KINDS, find_chat, name_person
from bot.channels.telegram_webhook import Webhook
from bot.model.clock import Clock, SystemClock
from bot.model.errors import BadSetting, TablenoteError
from bot.model.messages import Outgoing
from bot.model.settings import Allowed
from bot.model.talker import RunnerFactory, Talker
from bot.web.buckets import Buckets
from bot.web.desk import Desk
from bot.web.door import build_door
from bot.web.server import DoorServer

T = TypeVar("T")

_log = logging.getLogger(__name__)
_CHATS_AT_ONCE = 16
_POLL_S = 30
_ANSWER_WITHIN_S = 2.0
"""A stop waits so long for what is being handled; then it begins anew at the next start."""
_SEND_WITHIN_S, _END_WITHIN_S = 3.4, 4.5
"""Seconds after a stop."""


class TelegramChannel:
    """The bot as a Telegram bot, by long polling, or by webhook when `webhook_url` is given.

    api_url: base of the Bot API, None for the public one; allowed: the chats to serve beside
        who took an invitation, or "open" for everyone; announce: shown the invitation for the first person
    commands: (name, description) for the messenger's menu; runner_factory: makes what lets the clock tick
    webhook_url, secret: where updates are to be pushed, and what proves them
    host, port: where to listen for them and for posted readings; without a port, for nothing
    metrics_for: who may read the metrics there: nobody, "local", or who brings this token
    hear_time: told what time the messenger says it is, with each of its answers
    timeout_s: how long to wait for an answer of the Bot API
    per_second: how many requests it allows, 0 for any
    listen_s: how long to listen for another bot with this token first; most: what one person may send
    """

    def __init__(
        self,
        talker: Talker,
        *,
        token: str,
        runner_factory: RunnerFactory,
        api_url: str | None = None,
        allowed: Allowed = frozenset(),
        announce: Callable[[str], None] = _log.warning,
        commands: Sequence[tuple[str, str]] = (),
        webhook_url: str | None = None,
        secret: str | None = None,
        host: str = "127.0.0.1",
        port: int | None = None,
        metrics_for: str = "",
        clock: Clock | None = None,
        hear_time: Callable[[datetime], None] = lambda said: None,
        timeout_s: float = 15,
        per_second: int = 0,
        listen_s: int = LISTEN_S,
        most: Most = NO_LIMIT,
    ) -> None:
        if webhook_url and not secret:
            raise BadSetting("A webhook needs TABLENOTE_WEBHOOK_SECRET, or anyone could speak for anyone.")
        if webhook_url and port is None:
            raise BadSetting("A webhook needs TABLENOTE_PORT to listen on.")
        self._talker, self._announce, self._commands = talker, announce, commands
        self._webhook_url, self._webhook_secret, self._metrics_for = webhook_url, secret, metrics_for
        self._clock = clock or SystemClock()
        self._threads = Threads()
        self._in_thread = self._threads.run
        self._entrance = Entrance(talker, self._in_thread, allowed)
        self._queue = DurableQueue(lambda updates: self._reception.keep(updates))
        self._order = ChatOrder(_CHATS_AT_ONCE)
        self._application = self._build(token, api_url, timeout_s, hear_time)
        self._bot = self._application.bot
        self._stopping, self._late = asyncio.Event(), asyncio.Event()
        self._stopped_at = 0.0
        self._delivery = Delivery(
            self._bot, talker, self._threads, self._stopping, self._note_error, per_second
        )
        self._patiently = StorePatience(self._threads, self._delivery.pause)
        telling, begin = Telling(self._bot, talker, self._in_thread), self._application.create_task
        self._handling = Handling(
            self._bot, talker, self._patiently, self._delivery, telling, self._clock, self._handle_later
        )
        limits = Limits(most)
        self._reception = Reception(
            self._bot, talker, self._in_thread, self._entrance, telling, begin, limits
        )
        busy, calls = self._delivery.busy, (self._handle_stored, self._send_left)
        self._holding = Holding(talker, self._in_thread, *calls, busy, self._stopping)
        self._alone, self._listen_s = Alone(self._bot, self._delivery, self._open_door), listen_s
        self._door = None if port is None else self._build_door(host, port)
        self._runner = runner_factory(self._tick)
        self._failure: TablenoteError | None = None

    def _build(
        self, token: str, api_url: str | None, timeout_s: float, hear_time: Callable[[datetime], None]
    ) -> Application[Any, Any, Any, Any, Any, Any]:
        logging.getLogger("httpx").setLevel(logging.WARNING)  # its lines about each request hold the token
        polling = PollingRequest(timeout_s, hear_time, lambda: self._give_up(bad_token()), self._queue.store)
        builder = (
            ApplicationBuilder()
            .token(token)
            .update_queue(self._queue)
            .concurrent_updates(self._order)
            .job_queue(None)
            .request(TimedRequest(2 * _CHATS_AT_ONCE, timeout_s, hear_time))
            .get_updates_request(polling)
        )
        if api_url:
            base = api_url.rstrip("/")
            builder = builder.base_url(f"{base}/bot").base_file_url(f"{base}/file/bot")
        try:
            application = builder.build()
        except InvalidToken:
            raise bad_token() from None
        application.add_handler(TypeHandler(Update, self._handle))
        application.add_error_handler(self._on_error)
        return application

    def _build_door(self, host: str, port: int) -> DoorServer:
        hook = None
        if self._webhook_url and self._webhook_secret:
            hook = Webhook(self._webhook_url, self._webhook_secret, self._bot, self._queue.take)
        desk = Desk(self._talker, self._in_thread, self._send_soon, self._entrance.serves, self._alone)
        door = build_door(desk, Buckets(), hook, self._metrics_for)
        return DoorServer(door, host, port)

    # --- from start to stop ---------------------------------------------------------------------------

    def run(self) -> None:
        """Serve until SIGINT or SIGTERM; what takes five seconds more is undone, and begins anew later."""
        asyncio.run(self._run())
        if self._threads.are_busy:
            _log.warning("stopped in the middle of something, which begins anew at the next start")
            logging.shutdown()
            os._exit(0)

    async def _run(self) -> None:
        with suppress(NotImplementedError):  # Windows: Ctrl-C cancels this task instead
            for number in (signal.SIGINT, signal.SIGTERM):
                asyncio.get_running_loop().add_signal_handler(number, self.stop)
        await self.serve()

    def stop(self) -> None:
        """Make `serve` come to its end; to be called on its event loop."""
        if not self._stopping.is_set():
            self._stopping.set()
            self._stopped_at = asyncio.get_running_loop().time()
            asyncio.get_running_loop().call_later(_ANSWER_WITHIN_S, self._late.set)

    async def serve(self) -> None:
        """Serve until `stop` is called; a channel can serve once.

        BadSetting: the token is refused; TablenoteError: the Bot API cannot be used.
        """
        try:
            await self._in_time(self._begin())
            await self._stopping.wait()
        except InvalidToken:
            raise bad_token() from None
        except TelegramError as error:
            if not self._stopping.is_set():
                raise TablenoteError(f"The messenger cannot be used: {error}.") from error
        finally:
            await self._close()
        if self._failure:
            raise self._failure

    async def _begin(self) -> None:
        await self._delivery.insist(self._application.initialize)
        await self._application.start()
        await self._entrance.announce(self._bot.username, self._announce)
        alone = self._alone.wait(0 if self._webhook_url else self._listen_s)
        await asyncio.gather(alone, self._in_thread(self._talker.prepare))
        await self._recover()
        await self._listen()
        self._application.create_task(self._show_commands())
        self._runner.start()

    async def _in_time(self, work: Coroutine[Any, Any, T]) -> T | None:
        """Return what some work comes to, None when a stop cannot wait for it."""
        job, late = asyncio.ensure_future(work), asyncio.ensure_future(self._late.wait())
        try:
            await asyncio.wait({job, late}, return_when=asyncio.FIRST_COMPLETED)
            return job.result() if job.done() else None
        finally:
            late.cancel()
            job.cancel()

    async def _recover(self) -> None:
        """Handle what an earlier run left, each alone: what ends the process then is what is to blame."""
        if self._talker.shared:
            await self._holding.recover()
            return
        waiting = await self._in_thread(self._talker.waiting)  # first: it may leave something to be sent
        unsent = await self._in_thread(self._talker.unsent)
        replies: list[Outgoing] = []
        for update_id, raw in waiting:
            if self._stopping.is_set():
                break
            if find_chat(update_id) is None:
                continue
            update = Update.de_json(json.loads(raw), self._bot)
            if await self._entrance.refusal(update) is None:
                replies += await self._handling.reply_to(update)
        await self._send_served(unsent, partial(self._delivery.send_soon, left=True))
        self._send_soon(replies)

    async def _listen(self) -> None:
        self._open_door()
        if self._webhook_url:
            ask = partial(
                self._bot.set_webhook,
                self._webhook_url,
                secret_token=self._webhook_secret,
                allowed_updates=KINDS,
                max_connections=1,  # several at once would arrive out of order
            )
            await self._delivery.insist(ask)
            return
        await self._poll()

    async def _poll(self) -> None:
        updater = self._application.updater
        if updater is None:
            raise RuntimeError("the application was built without its updater")
        if self._stopping.is_set():
            return
        await updater.start_polling(
            timeout=_POLL_S,
            allowed_updates=KINDS,
            bootstrap_retries=5,
            error_callback=self._note_polling_error,
        )

    def _open_door(self) -> None:
        if self._door is None or self._door.is_open:
            return
        try:
            self._door.start()
        except BadSetting as error:
            if self._webhook_url:
                raise
            _log.error("nobody can post readings, all else works: %s", error)

    async def _show_commands(self) -> None:
        menu = [BotCommand(name, description) for name, description in self._commands]
        await self._delivery.insist(partial(self._bot.set_my_commands, menu))

    async def _close(self) -> None:
        self.stop()
        updater, application = self._application.updater, self._application
        ends = [self._runner.stop()]
        if self._door is not None:
            ends.append(self._door.stop())
        if updater and updater.running:
            ends.append(updater.stop())  # what it does not acknowledge any more is stored all the same
        await self._by(_ANSWER_WITHIN_S + 0.2, *ends)
        if application.running:
            await self._by(_ANSWER_WITHIN_S + 0.7, application.stop())
        until = self._stopped_at + _SEND_WITHIN_S
        await self._by(_SEND_WITHIN_S + 0.6, self._delivery.finish(until))
        await self._by(_END_WITHIN_S, self._holding.finish(), application.shutdown(), self._bot.shutdown())
        self._threads.shutdown()

    async def _by(self, after_s: float, *ends: Awaitable[object]) -> None:
        """Wait for the ends of several parts, so many seconds after the stop at most."""
        left_s = self._stopped_at + after_s - asyncio.get_running_loop().time()
        try:
            await asyncio.wait_for(asyncio.gather(*ends, return_exceptions=True), max(0.1, left_s))
        except TimeoutError:
            _log.info("a part of the bot was cut off, as it had not ended %g s after the stop", after_s)

    # --- receiving ------------------------------------------------------------------------------------

    async def _handle(self, update: Update, _: CallbackContext[Any, Any, Any, Any]) -> None:
        chat = update.effective_chat
        if self._late.is_set():
            return  # it waits in the inbox for the next start
        if self._talker.shared and chat is not None:
            await self._in_time(self._holding.tend(name_person(chat.id)))
        else:
            self._send_soon(await self._in_time(self._handling.reply_to(update)) or ())

    async def _handle_stored(self, raw: str) -> None:
        """Handle one stored update of somebody this process holds."""
        update = Update.de_json(json.loads(raw), self._bot)
        if await self._entrance.refusal(update) is None:
            for reply in await self._handling.reply_to(update):
                self._send_held(reply)

    async def _send_left(self, messages: list[Outgoing], left: bool) -> None:
        """Send what waited for somebody this process holds; left: an earlier run may have begun to."""
        await self._send_served(messages, partial(self._send_held, left=left))

    def _send_held(self, message: Outgoing, *, left: bool = False) -> None:
        sending = self._delivery.send_soon(message, left=left)
        self._holding.keep_until(message.person, self._delivery.noted(sending))

    def _handle_later(self, update: Update) -> None:
        """Handle an update whose file can be had by now only, while the chat goes on."""

        async def handle(chat_id: int) -> None:
            file = await self._handling.fetch_late(update, chat_id)
            if file is not None:
                async with self._order.turn_of(chat_id):
                    answer = self._handling.answer(update, chat_id, file)
                    self._send_soon(await self._in_time(answer) or ())

        if update.effective_chat is not None:
            self._application.create_task(handle(update.effective_chat.id))

    def _note_polling_error(self, error: TelegramError) -> None:
        _log.warning("no updates could be fetched: %s", error)
        if isinstance(error, Conflict) and self._alone.is_disturbed():
            self._application.create_task(self._stand_back())

    async def _stand_back(self) -> None:
        """Leave fetching updates to the bot that does so, too, until it stops; all else goes on."""
        updater = self._application.updater
        if updater is not None and updater.running:
            await updater.stop()
            await self._alone.wait()
            await self._poll()

    async def _on_error(self, _: object, context: CallbackContext[Any, Any, Any, Any]) -> None:
        _log.error("an error that nothing else handled", exc_info=context.error)
        self._note_error(context.error)

    def _note_error(self, error: Exception | None) -> None:
        if isinstance(error, InvalidToken):
            self._give_up(bad_token())

    def _give_up(self, failure: TablenoteError) -> None:
        self._failure = failure
        self.stop()

    # --- sending what is not a reply ------------------------------------------------------------------

    async def _tick(self) -> None:
        while due := await self._in_thread(self._talker.tick):
            if self._stopping.is_set():  # they are sent at the next start
                return
            if self._talker.shared:  # who is let in is asked once they are held
                self._send_soon(due)
            else:
                await self._send_served(due, self._delivery.send_soon)
            await self._holding.calm()  # a tick says a few at a time; the next ones need not wait for another

    async def _send_served(self, messages: Iterable[Outgoing], send: Callable[[Outgoing], object]) -> None:
        """Send what was not asked for just now: to who is still let in."""
        for message in messages:
            if await self._entrance.serves(message.person):
                send(message)
            elif message.id is not None:
                await self._patiently(self._talker.not_sent, message.id, "no longer let in")

    def _send_soon(self, messages: Iterable[Outgoing]) -> None:
        for message in messages:
            if find_chat(message.person) is None:
                continue
            if self._talker.shared:
                self._holding.tend_soon(message.person)
            else:
                self._delivery.send_soon(message)
