"""A bare echo bot of the same library, to measure against: python -m tests.bench.echo_bot URL TOKEN N."""

import logging
import sys
from typing import Any

from telegram import Update
from telegram.ext import ApplicationBuilder, CallbackContext, MessageHandler, filters


async def echo(update: Update, _: CallbackContext[Any, Any, Any, Any]) -> None:
    if update.message:
        await update.message.reply_text(update.message.text or "")


def main(api_url: str, token: str, at_once: str) -> None:
    logging.basicConfig(level=logging.WARNING)
    application = (
        ApplicationBuilder()
        .token(token)
        .base_url(f"{api_url}/bot")
        .concurrent_updates(int(at_once) if at_once != "1" else False)
        .build()
    )
    application.add_handler(MessageHandler(filters.TEXT, echo))
    application.run_polling()


if __name__ == "__main__":
    main(*sys.argv[1:])
