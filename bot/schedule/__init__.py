"""When reminders are due (`rules`, pure), and what makes the clock tick (`runner`)."""
