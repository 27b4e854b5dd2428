# What `cmake --install` leaves is whole and works from there:
#   cmake -DBUILD=<build directory> -DSCRATCH=<directory> -P check_install.cmake
set(prefix ${SCRATCH}/install)
file(REMOVE_RECURSE ${prefix})
execute_process(COMMAND ${CMAKE_COMMAND} --install ${BUILD} --prefix ${prefix} OUTPUT_QUIET COMMAND_ERROR_IS_FATAL ANY)

foreach(file bin/tiltfin share/tiltfin/README.md share/tiltfin/cases/README.md share/tiltfin/cases/small-block.toml
    share/tiltfin/cases/observatory-logs/upright.csv share/doc/tiltfin/copyright
    share/bash-completion/completions/tiltfin share/zsh/site-functions/_tiltfin)
  if(NOT EXISTS ${prefix}/${file})
    message(FATAL_ERROR "not installed: ${file}")
  endif()
endforeach()

# The licences of what is compiled in, where Debian's packages state them; no folder without a file.
if(EXISTS /etc/debian_version)
  foreach(library chart.js eigen3 spectra cli11 json3 fmt tomlplusplus boost vtk)
    file(GLOB licence ${prefix}/share/doc/tiltfin/licences/*${library}*)
    if(NOT licence)
      message(FATAL_ERROR "not installed: the licence of ${library}")
    endif()
  endforeach()
endif()
file(GLOB_RECURSE places LIST_DIRECTORIES ON ${prefix}/*)
foreach(place IN LISTS places)
  file(GLOB inside ${place}/*)
  if(IS_DIRECTORY ${place} AND NOT inside)
    message(FATAL_ERROR "installed empty: ${place}")
  endif()
endforeach()

set(tiltfin ${prefix}/bin/tiltfin)
execute_process(COMMAND ${tiltfin} check ${prefix}/share/tiltfin/cases/square-cavity.toml --no-svg OUTPUT_QUIET
  COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND ${tiltfin} completion bash OUTPUT_VARIABLE said COMMAND_ERROR_IS_FATAL ANY)
file(READ ${prefix}/share/bash-completion/completions/tiltfin installed)
if(NOT said STREQUAL installed)
  message(FATAL_ERROR "the completion that is installed is of another program")
endif()

# One manual page for the program and one for each command, where the build could write them.
execute_process(COMMAND ${tiltfin} --help OUTPUT_VARIABLE help COMMAND_ERROR_IS_FATAL ANY)
file(GLOB pages ${prefix}/share/man/man1/*.1)
if(pages)
  string(REGEX MATCHALL "\n  [a-z]+ " commands "${help}")
  list(LENGTH commands n_commands)
  list(LENGTH pages n_pages)
  math(EXPR n_wanted "${n_commands} + 1")
  if(NOT n_pages EQUAL n_wanted)
    message(FATAL_ERROR "${n_pages} manual pages of ${n_commands} commands and the program")
  endif()
  foreach(page IN LISTS pages)
    file(READ ${page} text)
    if(NOT text MATCHES "\n\\.TH TILTFIN" OR NOT text MATCHES "\n\\.SH NAME\n" OR NOT text MATCHES "\n\\.SH CAUTIONS\n")
      message(FATAL_ERROR "no manual page: ${page}")
    endif()
  endforeach()
endif()
file(REMOVE_RECURSE ${prefix})
