"""What a period of walks shows, for one machine or a fleet.

`walked` takes records apart, `figures` computes with `voicecheck.statistics`,
`charts` draws; `page`, `csv_text` and `voicecheck.report.pdf.period` write.
"""
