"""Every answer described once: one file a question builds a `Report`; `heatcalc.render` shows it in any medium."""
