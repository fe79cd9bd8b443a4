"""When reminders are due (`rules`, `days`: pure), which stand (`planning`), and what they say."""
