"""One module for each command, or for two that belong together, in rooms by the families of
`brief.cli.asking`.
"""
