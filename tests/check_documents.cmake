# The documents: fails when a path or a link in one of them leads nowhere, when README.md or
# DEVELOPERS.md grows too long or too wide, when the graph of rooms in DEVELOPERS.md is not the one
# that is drawn, and when the program refuses the smallest case of README.md.
#   cmake -P tests/check_documents.cmake
#   cmake -DREDRAW=ON -P tests/check_documents.cmake                   # draws the graph anew first
#   cmake -DTILTFIN=... -DSCRATCH=... -P tests/check_documents.cmake   # the smallest case, too
cmake_minimum_required(VERSION 3.25)
set(failures "")
set(most_lines 120)
set(most_bytes 120) # of a line

# What stands between ```<kind> and the next ``` of a text.
function(fenced text kind result)
  string(FIND "${text}" "\n```${kind}\n" begin)
  if(begin LESS 0)
    message(FATAL_ERROR "documents: no block of ${kind}")
  endif()
  string(LENGTH "\n```${kind}\n" width)
  math(EXPR begin "${begin} + ${width}")
  string(SUBSTRING "${text}" ${begin} -1 rest)
  string(FIND "${rest}" "```" length)
  string(SUBSTRING "${rest}" 0 ${length} inside)
  set(${result} "${inside}" PARENT_SCOPE)
endfunction()

# A path is whatever begins with a folder of the project, in prose or code; sources may go without
# their ending. A link that is no address of the web counts from the document's own folder.
file(GLOB_RECURSE documents RELATIVE ${CMAKE_SOURCE_DIR} mesh/*.md solver/*.md post/*.md cases/*.md
  tests/*.md validation/*.md)
set(n_places 0)
foreach(document IN LISTS documents ITEMS README.md DEVELOPERS.md)
  file(READ ${document} text)
  string(REPLACE "](" "@(" text "${text}")
  string(REGEX REPLACE "[][;]" " " text "${text}") # which a list would stumble over
  get_filename_component(own ${CMAKE_SOURCE_DIR}/${document} DIRECTORY)
  set(places "")
  string(REGEX MATCHALL "@\\([^) #]+" links "${text}")
  foreach(link IN LISTS links)
    if(NOT link MATCHES "://")
      string(REGEX REPLACE "^@\\(" "${own}/" link "${link}")
      list(APPEND places ${link})
    endif()
  endforeach()
  string(REGEX REPLACE "@\\([^)]*\\)" "" text "${text}")
  string(REGEX MATCHALL "(^|[ \n`(\"])(mesh|solver|post|cases|tests|validation|\\.ci)/[A-Za-z0-9_./*-]*"
    paths "${text}")
  foreach(path IN LISTS paths)
    string(REGEX REPLACE "^[ \n`(\"]|[.]+$" "" path "${path}")
    list(APPEND places ${CMAKE_SOURCE_DIR}/${path})
  endforeach()
  foreach(place IN LISTS places)
    math(EXPR n_places "${n_places} + 1")
    file(GLOB found ${place} ${place}.hpp ${place}.cpp)
    if(found STREQUAL "" AND NOT EXISTS ${place})
      file(RELATIVE_PATH place ${CMAKE_SOURCE_DIR} ${place})
      list(APPEND failures "${document}: there is no ${place}")
    endif()
  endforeach()
endforeach()
if(n_places EQUAL 0)
  list(APPEND failures "no path was looked at")
endif()

# The graph of rooms. Notices go to the standard error.
execute_process(COMMAND ${CMAKE_COMMAND} -DDRAW=ON -P tests/check_layering.cmake
  RESULT_VARIABLE status OUTPUT_QUIET ERROR_VARIABLE drawn)
if(NOT status EQUAL 0)
  message(FATAL_ERROR "documents: no graph can be drawn: ${drawn}")
endif()
string(REGEX REPLACE " +\n" "\n" drawn "${drawn}")
file(READ DEVELOPERS.md text)
fenced("${text}" rooms shown)
if(REDRAW)
  string(REPLACE "\n```rooms\n${shown}```" "\n```rooms\n${drawn}```" text "${text}")
  file(WRITE DEVELOPERS.md "${text}")
elseif(NOT shown STREQUAL drawn)
  list(APPEND failures "DEVELOPERS.md: its graph of rooms is not the one that is drawn (-DREDRAW=ON)")
endif()

string(REPEAT "[^\n]" ${most_bytes} full)
foreach(document README.md DEVELOPERS.md)
  file(READ ${document} text)
  string(REPLACE ";" "," text "${text}")
  string(REGEX MATCHALL "\n" ends "${text}")
  list(LENGTH ends n_lines)
  if(n_lines GREATER most_lines)
    list(APPEND failures "${document}: ${n_lines} lines, at most ${most_lines}")
  endif()
  if(text MATCHES "${full}[^\n]+")
    list(APPEND failures "${document}: more than ${most_bytes} bytes in a line: ${CMAKE_MATCH_0}")
  endif()
endforeach()

if(TILTFIN)
  file(READ README.md text)
  fenced("${text}" toml smallest)
  file(WRITE ${SCRATCH}/smallest-case.toml "${smallest}")
  execute_process(COMMAND ${TILTFIN} check --no-svg ${SCRATCH}/smallest-case.toml
    RESULT_VARIABLE status OUTPUT_QUIET ERROR_VARIABLE complaint)
  if(NOT status EQUAL 0)
    list(APPEND failures "README.md: the smallest case is refused: ${complaint}")
  endif()
endif()

if(failures)
  list(JOIN failures "\n  " text)
  message(FATAL_ERROR "documents:\n  ${text}")
endif()
message(STATUS "documents: ${n_places} paths and links lead somewhere")
