"""What is moved or switched: run times, safeguards, mains cables."""
