"""What the build of the browser's files promises."""
