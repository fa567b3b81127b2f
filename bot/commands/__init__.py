"""Input -> question -> answer -> reply, an area a file. `desk` is the one way they all go."""
