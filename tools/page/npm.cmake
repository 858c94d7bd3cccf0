# flitchwise_npm_ci(FOLDER OUT): installs what FOLDER/package-lock.json lists into the build tree, once for each state
# of the lock file; no package's own scripts are run. Sets OUT to the folder that holds node_modules, or to "" if there
# is no Node.js, no npm or no network.
find_program(FLITCHWISE_NODE NAMES node nodejs)
find_program(FLITCHWISE_NPM npm)

function(flitchwise_npm_ci folder out)
  set(${out} "" PARENT_SCOPE)
  if(NOT FLITCHWISE_NODE OR NOT FLITCHWISE_NPM)
    return()
  endif()
  string(MD5 name "${folder}")
  set(place ${CMAKE_BINARY_DIR}/npm/${name})
  file(SHA256 ${folder}/package-lock.json wanted)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${folder}/package-lock.json)
  set(stamp ${place}/installed)
  if(EXISTS ${stamp})
    file(READ ${stamp} there)
  endif()
  if(NOT "${there}" STREQUAL "${wanted}")
    file(COPY ${folder}/package.json ${folder}/package-lock.json DESTINATION ${place})
    execute_process(
      COMMAND ${FLITCHWISE_NPM} ci --ignore-scripts --no-audit --no-fund --loglevel=error
      WORKING_DIRECTORY ${place} RESULT_VARIABLE failed OUTPUT_QUIET ERROR_VARIABLE trouble TIMEOUT 300)
    if(NOT "${failed}" STREQUAL "0")
      message(STATUS "npm cannot fetch the packages of ${folder}: ${trouble}")
      return()
    endif()
    file(WRITE ${stamp} "${wanted}")
  endif()
  set(${out} ${place} PARENT_SCOPE)
endfunction()
