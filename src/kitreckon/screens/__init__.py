"""The terminal interface: pages over one book, each a ruled list with one line always ready.

app opens pages; frame and page are what all of them share; a module each is a page. session holds
what they share, records what is shown and stored, phrases how it is said. keys is the one table of
keys. A page asks the core and renders what it gets.
"""
