"""The compiled stepper, where it could be built: the same equations, many times faster."""
