"""Practice on a hidden fault: a case answers, the person at work chooses, everything is kept in the log."""
