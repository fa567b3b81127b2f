"""A person's own matters: settings, records out and in, towers shared and put away."""
