// The page begins.

startKeeping();
startForm();
startPapers();
startChart();
startLists();
startDrawing();
startKeys();
startBeside();
drawChart();
showsFrame(0);
startMovie();
