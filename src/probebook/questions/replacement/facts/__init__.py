"""What replacement questions are told: ratings, lines of the stock list, why a line is wrong, cold ohms."""
