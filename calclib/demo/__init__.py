"""An invented class: simulated students, their class list and problem set, and the whole cycle on one command."""
