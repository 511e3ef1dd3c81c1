"""An instrument in numbers: its sizes, what follows from them, and what fits."""
