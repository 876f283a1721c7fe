"""What the written test asks besides: lateral balance, payload against fuel, jacks, limits in flight."""
