"""The answers: first setup, sag check, bounce check, ride, what-if, travel plan, with reasons and cautions."""
