"""Speed, as ratios beside a yardstick measured in the same run. Timing never fails a test."""
