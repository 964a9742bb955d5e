"""The drawing board: a page in the browser on which a lot is drawn and judged, served from here."""
