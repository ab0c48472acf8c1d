"""What may be written: closed kinds, canonical bytes, envelopes, signatures. No web, no store."""
