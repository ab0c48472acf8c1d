"""What the daily check has no time for, in pieces that can be stopped and gone on with."""
