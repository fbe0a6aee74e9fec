"""What a page is drawn with: the ruled list, blocks of text, the line, the line of keys."""
