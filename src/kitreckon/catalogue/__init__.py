"""Kinds, prices, outfits, findings and words: data in catalogs/, read with file and line.

``model`` holds the values, ``yaml_text`` reads YAML as text with positions, ``shapes`` and
``subjects`` say what each file may hold, ``load`` opens folders, ``words`` renders reasons.
"""
