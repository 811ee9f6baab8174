"""What to do next: costs in minutes, repair order, next action and its robustness."""
