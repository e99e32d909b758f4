"""What verdict questions print: measurements with their limits, from the core, and the rule they are judged by."""
