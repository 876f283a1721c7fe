"""Records: aircraft profiles and flights as read from files, checked, with the place of every figure."""
