"""The app: buyer, owner and bookkeeper at one table, in a browser on the shop's own PC.

`main` is the way in; a page is one file that asks (widgets), calls (`cached`, `work`), shows.
"""
