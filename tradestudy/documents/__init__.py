"""Documents that read alone: a guide in Markdown, and pages made from the code when the documents are built.

``python -m tradestudy.documents FOLDER`` builds them as HTML pages with search, for reading without a network.
"""
