"""What the bare command says: the verbs in order of use."""

WELCOME = """\
evener - drives that share a wrist's pull between the fingers of a partial hand

  evener start STUDY              a study folder that runs untouched
  evener check [STUDY]            the brief read back, every mistake by line, a sketch of the hand
  evener run [STUDY]              the long search; saved as it goes
  evener status [STUDY]           where a run stands, also while it runs
  evener show [STUDY] DRIVE|FILE  everything about one drive
  evener report [STUDY]           what to build next and why: one HTML file
  evener pack STUDY DRIVE         the build pack: drawings, parts, bench sheet, next study

STUDY is a folder, as in studies/left-3, and may be left out inside it.
Begin with: evener start studies/left-3
Each command explains itself: evener show --help"""
