"""What each department is handed: folders of pulls, sheets and reels, all derived from cut x marks."""
