"""The grammar of numbers, units and arithmetic, its trees and their values."""
