"""What a take looks and sounds like. Views never run anything."""
