"""What a plan is made of: lengths, lenses, findings, what would be signed, what to measure next."""
