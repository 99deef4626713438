"""What the grease must be, one property group a module. Each gives `Requirement`s from a `Duty`."""
