# The installed tree: the program, the libraries with their public headers, and a package for find_package(flitchwise).
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

set(libraries model read scan solver allocate job page report paint yard)
foreach(library IN LISTS libraries)
  set_target_properties(flitchwise_${library} PROPERTIES EXPORT_NAME ${library})
endforeach()
set_target_properties(flitchwise_flags PROPERTIES EXPORT_NAME flags) # what the libraries were linked with
set_target_properties(flitchwise_tree PROPERTIES EXPORT_NAME tree)
list(TRANSFORM libraries PREPEND flitchwise_)
install(TARGETS flitchwise ${libraries} flitchwise_flags flitchwise_tree EXPORT flitchwise-targets)

# The headers that plan_log.hpp, yard.hpp and report.hpp need, in their folders below include/flitchwise.
set(public_headers
  scan/model/cut_out scan/model/errors scan/model/fields scan/model/limits scan/model/log_model scan/model/scan_facts
  scan/model/sources scan/model/units
  scan/read/cloud scan/read/scan_file
  solver/advice/what_limits
  solver/allocate/allocate solver/allocate/order solver/allocate/order_file solver/allocate/shortages
  solver/plan/board_size solver/plan/plan
  solver/setup/kit solver/setup/kit_file solver/setup/setup solver/setup/setup_facts
  tools/job/advise tools/job/facts tools/job/model_log tools/job/pith tools/job/plan_log tools/job/scan_info
  tools/report/fact_words tools/report/plan_words tools/report/quantities tools/report/report
  tools/yard/content_hash tools/yard/log_job tools/yard/words tools/yard/workers tools/yard/yard)
foreach(header IN LISTS public_headers)
  get_filename_component(folder ${header} DIRECTORY)
  install(FILES ${header}.hpp DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/flitchwise/${folder})
endforeach()

# Kits to copy, an order and a scan to try, the schema of plan.json, the script for a cluster.
install(DIRECTORY sample-scans DESTINATION ${CMAKE_INSTALL_DATADIR}/flitchwise
        FILES_MATCHING PATTERN "*.toml" PATTERN "*.csv" PATTERN "*.ply")
install(FILES tools/plan.schema.json DESTINATION ${CMAKE_INSTALL_DATADIR}/flitchwise)
install(PROGRAMS tools/cluster/yard_slurm.sh DESTINATION ${CMAKE_INSTALL_DATADIR}/flitchwise)
install(FILES LICENSE README.md DESTINATION ${CMAKE_INSTALL_DOCDIR})

set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/flitchwise)
install(EXPORT flitchwise-targets NAMESPACE flitchwise:: DESTINATION ${package_dir})
configure_package_config_file(tools/install/flitchwise-config.cmake.in ${CMAKE_CURRENT_BINARY_DIR}/flitchwise-config.cmake
                              INSTALL_DESTINATION ${package_dir} PATH_VARS CMAKE_INSTALL_DATADIR)
# Before 1.0 a minor version may change what a program sees.
write_basic_package_version_file(${CMAKE_CURRENT_BINARY_DIR}/flitchwise-config-version.cmake
                                 COMPATIBILITY SameMinorVersion)
install(FILES ${CMAKE_CURRENT_BINARY_DIR}/flitchwise-config.cmake
              ${CMAKE_CURRENT_BINARY_DIR}/flitchwise-config-version.cmake DESTINATION ${package_dir})
