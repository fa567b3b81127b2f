"""What keeps a tank and its roots well: pH, water, heat, outage, cleaning, days away."""
