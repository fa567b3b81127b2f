"""What the coach sets: the community, feeds, house rules, notes."""
