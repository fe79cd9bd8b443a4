"""One turn of the talk: words, buttons, commands and files, each stored and answered."""
