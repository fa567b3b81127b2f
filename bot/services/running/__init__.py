"""What runs by the hour: the pump's timer, the lamp, what they draw and cost."""
