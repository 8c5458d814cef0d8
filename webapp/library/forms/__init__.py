"""One fork or shock as a form, and whole files of them."""
