"""The screens: the only package that imports Textual. They compose, bind, call and post."""
