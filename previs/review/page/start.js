// The page begins.

startKeeping();
startForm();
startPapers();
startChart();
startLists();
startFiles();
startDrawing();
startKeys();
startBeside();
drawChart();
showsFrame(0);
startMovie();
