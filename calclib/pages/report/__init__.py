"""The parts of the class report: each turns results into the words and numbers of one section."""
