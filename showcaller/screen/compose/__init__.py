"""Frames composed: layers, treatments and changes of look put into one picture with OpenCV and numpy.

Pictures are arrays of height × width × 3, unsigned 8 bits, blue first, as OpenCV and the screen have them.
"""
