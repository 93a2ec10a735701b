//! Reflectance to appearance: observers, CIELAB, colour differences, Kubelka-Munk, dye cards.
