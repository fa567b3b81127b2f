"""What people do and see: typing, pressing, filling in forms, and waiting for the bot."""
