"""After an exam that wasn't passed: who needs what, what is practiced, and on which days."""
