# `cmake --install build/release`: the command, its plugin, data, man page and completions.
include(GNUInstallDirs)
install(TARGETS etchback RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
if(TARGET etchback_paper)
    install(TARGETS etchback_paper LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR}/etchback)
endif()
install(DIRECTORY data/ DESTINATION ${CMAKE_INSTALL_DATADIR}/etchback/data)
