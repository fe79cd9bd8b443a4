"""`python -m bot` is `tablenote`."""

from bot.commandline.main import main

if __name__ == "__main__":
    main()
