"""The pages of a shop's bikes: the list, the crew's screens, the fleet's forms, the tag."""
