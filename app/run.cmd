@echo off
rem Opens Guyline on Windows: app\run.cmd [PLAN]. Untested: nobody has run this file on Windows yet.
setlocal
set HERE=%~dp0
if not exist "%HERE%.venv\.installed" (
  py -3 -m venv "%HERE%.venv" || exit /b 3
  "%HERE%.venv\Scripts\python" -m pip install -q -e "%HERE%.." || exit /b 3
  echo installed> "%HERE%.venv\.installed"
)
"%HERE%.venv\Scripts\python" -m guyline %*
