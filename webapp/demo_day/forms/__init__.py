"""The forms of a shop's bikes: describing one, files of them, and the crew's few fields."""
