"""What somebody says about themselves, or wants to be done from now on."""
