"""What a system is: frozen objects as the instructor wrote them, nothing computed."""
