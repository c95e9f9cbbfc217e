// A page whose answer is still being worked out looks again every two seconds. Without this file the page reloads itself.
setTimeout(() => location.reload(), 2000);
