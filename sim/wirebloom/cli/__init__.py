"""The command line: arguments, one call, a message. No physics."""
