"""The page: a tank-side notebook in a browser, for one person in one place at a time."""
