// The page begins.

startKeeping();
startForm();
startPapers();
startChart();
startReach();
startLists();
startFiles();
startDrawing();
startKeys();
startBeside();
drawChart();
showsFrame(0);
startMovie();
