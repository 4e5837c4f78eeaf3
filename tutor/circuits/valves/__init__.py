"""Valves as they are: their laws, what their sheets print, where they settle in a circuit, and their curves.

    catalogue        a type by its name: pins, ratings, points of the sheets, fitted laws; needs no NumPy
    sheet            what a type is made of; needs no NumPy
    state            what can be said of a valve at rest: conducting, cut off, over its rating …; needs no NumPy
    type_file        reads the facts (`types.yaml`, `stages.yaml`) and the fits (`fits.yaml`); needs no NumPy
    models           the laws: currents and their slopes for arrays of voltages
    operating_point  where valves settle in a linear circuit, for many draws at once
    stages           the usual stages, put into that form
    small_signal     mu, anode resistance and slope at a point
    load_line        curves, load lines, swing, power and distortion as arrays ready to plot
    fitting          our own least-squares fits to the points of the sheets

Voltages are counted from the cathode, currents into the electrode; everything is in SI units. Nothing is imported
here, so that a question without valves loads neither the catalogue nor NumPy.
"""
