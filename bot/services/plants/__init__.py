"""Plants and what they need: crops by name, sowing, ports, harvest, supplies, group sums."""
