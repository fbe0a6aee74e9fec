"""Text to pieces: lines and adverts as people write them, and suggestions while typing."""

from kitreckon.reading.model import Likely, ReadPiece, TextReading
from kitreckon.reading.reader import Reader

__all__ = ["Likely", "ReadPiece", "Reader", "TextReading"]
