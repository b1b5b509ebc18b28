"""The app: stock and traceability for a mobile ski workshop. Rooms and arrows: DEVELOPERS.md."""
